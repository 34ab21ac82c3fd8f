# peers.R READER FILE...: each file read without any option; one line of JSON for each: columns, error or warning.
arguments <- commandArgs(TRUE)
reader <- arguments[1]
escape <- function(x) {
    x <- gsub("\\", "\\\\", enc2utf8(x), fixed = TRUE)
    x <- gsub('"', '\\"', x, fixed = TRUE)
    gsub("[[:cntrl:]]", " ", x)
}
text <- function(x) paste0('"', escape(as.character(x)), '"')
column <- function(x) {
    if (is.numeric(x)) {
        values <- ifelse(is.na(x), "null", format(x, digits = 15, trim = TRUE, scientific = FALSE))
        return(paste0("[", paste(values, collapse = ","), "]"))
    }
    paste0("[", paste(text(x), collapse = ","), "]")
}
read <- function(path) {
    if (reader == "fread") as.data.frame(data.table::fread(path))
    else as.data.frame(readr::read_delim(path, show_col_types = FALSE, progress = FALSE))
}
for (path in arguments[-1]) {
    line <- tryCatch(
        {
            table <- read(path)
            names <- iconv(names(table), "", "UTF-8", sub = "?")
            cells <- vapply(table, function(x) if (is.character(x)) column(iconv(x, "", "UTF-8", sub = "?")) else column(x), "")
            paste0("{\"columns\":[", paste0("[", text(names), ",", cells, "]", collapse = ","), "]}")
        },
        warning = function(w) '{"error":"warning"}',
        error = function(e) '{"error":"error"}'
    )
    cat(line, "\n", sep = "")
}
