# check.R FOLDER: data.table::fread, without any option, and readr::read_csv, with guess_max for long tables only, give every column the type that
# datapackage.json states and every number as it is written.
folder <- commandArgs(TRUE)[1]
failures <- 0
fail <- function(...) {
  failures <<- failures + 1
  if (failures <= 10) cat("FAILED ", folder, ": ", ..., "\n", sep = "")
}

# Types from the description, without a JSON library: one field after the other.
described <- paste(readLines(file.path(folder, "datapackage.json"), encoding = "UTF-8"), collapse = "\n")
resources <- strsplit(described, '"path": "', fixed = TRUE)[[1]][-1]
types_of <- function(resource) {
  found <- regmatches(resource, gregexpr('"name": "[^"]*",\\s*"type": "[a-z]*"', resource))[[1]]
  setNames(sub('.*"type": "([a-z]*)"', "\\1", found), sub('"name": "([^"]*)".*', "\\1", found))
}

decimals <- function(text) nchar(sub("^[^.]*\\.?", "", text))
absent <- function(value) is.na(value) | (is.character(value) & value %in% "")
compared <- 0
check <- function(reader, table, text, types, file) {
  if (!identical(names(table), names(types))) return(fail(reader, " ", file, ": columns"))
  if (nrow(table) != nrow(text)) return(fail(reader, " ", file, ": ", nrow(table), " rows of ", nrow(text)))
  for (name in names(types)) {
    value <- table[[name]]
    as_written <- text[[name]]
    filled <- as_written != ""
    where <- paste(reader, file, name)
    if (!any(filled)) {
      if (!all(absent(value))) fail(where, ": not missing")
      next
    }
    good <- switch(types[[name]],
      number = is.numeric(value), integer = is.numeric(value), datetime = inherits(value, "POSIXct"),
      # A column of IDs that are all digits cannot be told from numbers, nor text that is a day from a date.
      string = is.character(value) || all(grepl("^[0-9.]+$|^\\d{4}-\\d\\d-\\d\\d$", as_written[filled])))
    if (!isTRUE(good)) { fail(where, ": ", class(value)[1], " for ", types[[name]]); next }
    if (types[[name]] == "number") {
      spelled <- sprintf("%.*f", decimals(as_written[filled]), value[filled])
      if (any(spelled != as_written[filled])) fail(where, ": ", spelled[spelled != as_written[filled]][1], " for ", as_written[filled][spelled != as_written[filled]][1])
    } else if (types[[name]] == "integer") {
      if (any(sprintf("%d", as.integer(value[filled])) != as_written[filled])) fail(where, ": an integer differs")
    } else if (types[[name]] == "datetime") {
      spelled <- format(value[filled], "%Y-%m-%dT%H:%M:%S", tz = "UTC")
      if (any(substr(spelled, 1, nchar(as_written[filled])) != as_written[filled])) fail(where, ": a time differs")
    } else if (is.character(value)) {
      if (any(value[filled] != as_written[filled])) fail(where, ": a text differs")
    }
    if (types[[name]] != "string") compared <<- compared + sum(filled)
    if (!all(absent(value[!filled]))) fail(where, ": an empty cell is not missing")
  }
}

for (resource in resources) {
  file <- sub('".*', "", resource)
  types <- types_of(resource)
  path <- file.path(folder, file)
  text <- data.table::fread(path, colClasses = "character", na.strings = NULL, encoding = "UTF-8", data.table = FALSE)
  # data.table keeps the quotes of quoted quotes as they are written; compare what it reads with what it reads.
  check("fread", as.data.frame(data.table::fread(path)), text, types, file)
  plain <- as.data.frame(suppressMessages(readr::read_csv(path, col_types = readr::cols(.default = "c"), na = character(), trim_ws = FALSE)))
  # readr takes types from the first 1,000 rows unless it is told to look further: the README says so.
  look <- if (nrow(plain) > 1000) Inf else 1000
  check("read_csv", as.data.frame(suppressMessages(readr::read_csv(path, guess_max = look))), plain, types, file)
}
cat(folder, ": ", length(resources), " tables, ", compared, " numbers and times in R\n", sep = "")
if (length(resources) == 0 || compared == 0) fail("nothing compared")
quit(status = if (failures > 0) 1 else 0)
