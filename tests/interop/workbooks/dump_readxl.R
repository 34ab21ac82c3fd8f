# dump_readxl.R BOOK: every cell as readxl reads it, one line `sheet TAB cell TAB kind TAB text`.
suppressWarnings(suppressMessages(library(readxl)))
book <- commandArgs(trailingOnly = TRUE)[1]
letters_of <- function(n) {
    name <- ""
    while (n > 0) {
        name <- paste0(LETTERS[(n - 1) %% 26 + 1], name)
        n <- (n - 1) %/% 26
    }
    name
}
escaped <- function(text) {
    text <- gsub("\\", "\\\\", text, fixed = TRUE)
    for (code in c(9L, 10L, 13L)) text <- gsub(intToUtf8(code), sprintf("\\x%02x", code), text, fixed = TRUE)
    text
}
described <- function(value) {
    if (inherits(value, "POSIXct")) return(c("date", format(value + 0.5, "%Y-%m-%dT%H:%M:%S", tz = "UTC")))
    if (is.logical(value)) return(c("boolean", if (value) "TRUE" else "FALSE"))
    if (is.numeric(value)) return(c("number", sprintf("%.15g", value)))
    c("text", escaped(value))
}
for (sheet in excel_sheets(book)) {
    cells <- suppressWarnings(suppressMessages(read_excel(book, sheet = sheet, col_names = FALSE,
        col_types = "list", na = character(), trim_ws = FALSE, range = cellranger::cell_limits(c(1, 1), c(NA, NA)))))
    for (column in seq_along(cells)) {
        values <- cells[[column]]
        for (row in seq_along(values)) {
            value <- values[[row]]
            if (length(value) == 1 && !is.na(value) && !identical(value, ""))
                cat(escaped(sheet), paste0(letters_of(column), row), described(value), sep = "\t", fill = FALSE)
            if (length(value) == 1 && !is.na(value) && !identical(value, "")) cat("\n")
        }
    }
}
