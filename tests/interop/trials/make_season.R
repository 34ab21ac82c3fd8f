# make_season.R FOLDER LINES ENVIRONMENTS REPS CONSTITUENTS: an invented trial as exports and a sample list. True
# components differ between constituents; a tenth of the plots is lost.
arguments <- commandArgs(trailingOnly = TRUE)
folder <- arguments[1]
size <- as.integer(arguments[2:5])
set.seed(11)
names <- c("protein", "oil", "ash", "fiber", "starch", "sucrose", "raffinose", "stachyose", "glucose", "fructose", "lysine",
           "methionine", "cysteine", "threonine", "tryptophan", "arginine", "leucine", "isoleucine", "valine",
           "histidine")[seq_len(size[4])]
plots <- expand.grid(line = seq_len(size[1]), rep = seq_len(size[3]), environment = seq_len(size[2]))
plots <- plots[sample(nrow(plots), round(0.9 * nrow(plots))), ]
plots <- plots[order(plots$environment, plots$rep, plots$line), ]
plots$sample <- sprintf("S%06d", seq_len(nrow(plots)))
within <- interaction(plots$environment, plots$rep, drop = TRUE)
cell <- interaction(plots$line, plots$environment, drop = TRUE)
values <- sapply(seq_along(names), function(i) {
  sd <- 0.5 + 0.1 * i
  20 + sd * rnorm(size[1])[plots$line] + 0.4 * rnorm(size[2])[plots$environment] + 0.2 * rnorm(nlevels(within))[within] +
    0.4 * sd * rnorm(nlevels(cell))[cell] + 0.6 * sd * rnorm(nrow(plots))
})
colnames(values) <- paste(names, "13% mb")
minutes <- seq_len(nrow(plots)) - 1
exports <- data.frame(Sample = plots$sample,
                      Time = format(as.POSIXct("2026-10-01 00:00:00", tz = "UTC") + 60 * minutes, "%Y-%m-%d %H:%M"),
                      round(values, 4), check.names = FALSE)
list <- data.frame(sample = plots$sample, line = sprintf("L%05d", plots$line), trial = "BIG",
                   environment = paste0("E", plots$environment), rep = plots$rep, plot = seq_len(nrow(plots)),
                   check = ifelse(plots$line == 1, "yes", ""))
write.csv(exports, file.path(folder, "exports.csv"), row.names = FALSE, quote = FALSE)
write.csv(list, file.path(folder, "samples.csv"), row.names = FALSE, quote = FALSE)
