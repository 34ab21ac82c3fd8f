# save_openxlsx.R CELLS FOLDER: saves the readings as people do in R, as a data frame: with openxlsx, its times as
# POSIXct in the package's own format, and with write.csv and write.csv2.
suppressMessages(library(openxlsx))
arguments <- commandArgs(trailingOnly = TRUE)
Sys.setenv(TZ = "UTC")
lines <- strsplit(readLines(arguments[1], encoding = "UTF-8"), "\t", fixed = TRUE)
headings <- substring(lines[[3]], 3)
fields <- t(sapply(lines[-(1:3)], function(fields) c(fields, rep("", length(headings) - length(fields)))))
columns <- lapply(seq_along(headings), function(i) {
    kind <- max(substring(fields[, i], 1, 1))
    content <- ifelse(fields[, i] == "", NA, substring(fields[, i], 3))
    if (kind == "t") return(content)
    number <- as.numeric(content)
    if (kind == "d") return(as.POSIXct(round(number * 86400) - 25569 * 86400, origin = "1970-01-01", tz = "UTC"))
    number
})
names(columns) <- headings
data <- as.data.frame(columns, check.names = FALSE, stringsAsFactors = FALSE, optional = TRUE)
names(data) <- headings
percentage <- which(headings == "Starch (%)")
text <- data
text[[percentage]] <- signif(text[[percentage]] * 100, 12) # a plain text has no format that could show a fraction as %
write.csv(text, file.path(arguments[2], "R-write.csv"), row.names = FALSE, fileEncoding = "UTF-8")
write.csv2(text, file.path(arguments[2], "R-write2.csv"), row.names = FALSE, fileEncoding = "UTF-8", na = "")
class(data[[percentage]]) <- "percentage"
book <- createWorkbook()
addWorksheet(book, "Week 32")
writeData(book, "Week 32", substring(lines[[1]], 3))
writeData(book, "Week 32", data, startRow = 3)
saveWorkbook(book, file.path(arguments[2], "openxlsx.xlsx"), overwrite = TRUE)
