# read.R BOOK FOLDER: every sheet of tables as R's readers see it, cell by cell: FOLDER/readxl.tsv and openxlsx.tsv, lines
# of sheet, row, column, value. Numbers with 17 digits.
arguments <- commandArgs(TRUE)
book <- arguments[1]
spelled <- function(value) {
  if (is.numeric(value) && !inherits(value, "POSIXct")) formatC(value, digits = 17, format = "g", width = 1)
  else if (inherits(value, "POSIXct")) format(value, "%Y-%m-%dT%H:%M:%OS3", tz = "UTC")
  else gsub("\\", "\\\\", gsub("\n", " ", as.character(value), fixed = TRUE), fixed = TRUE)
}
write <- function(reader, lines) writeLines(enc2utf8(lines), file.path(arguments[2], paste0(reader, ".tsv")), useBytes = TRUE)

lines <- character()
for (sheet in c("Lines", "Samples", "Readings", "To do", "Drift")) {
  # Each cell in its own type: a provisional mean is text among numbers.
  table <- suppressMessages(readxl::read_excel(book, sheet, col_types = "list", .name_repair = "minimal", trim_ws = FALSE))
  for (column in seq_along(table)) {
    cells <- table[[column]]
    there <- which(!vapply(cells, function(cell) length(cell) == 0 || is.na(cell[1]), NA))
    lines <- c(lines, sprintf("%s\t%d\t%s\t%s", sheet, there, names(table)[column],
                              vapply(cells[there], function(cell) spelled(cell[[1]]), "")))
  }
}
write("readxl", lines)

lines <- character()
for (sheet in c("Lines", "Samples", "Readings", "To do", "Drift")) {
  table <- suppressWarnings(openxlsx::read.xlsx(book, sheet, skipEmptyRows = FALSE, skipEmptyCols = FALSE, check.names = FALSE,
                                                sep.names = " "))
  for (column in seq_along(table)) {
    there <- which(!is.na(table[[column]]))
    if (is.numeric(table[[column]]) && length(there) > 0)
      lines <- c(lines, sprintf("%s\t%d\t%s\t%s", sheet, there, names(table)[column],
                                vapply(table[[column]][there], spelled, "")))
  }
}
write("openxlsx", lines)
