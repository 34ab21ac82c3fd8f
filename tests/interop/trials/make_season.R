# make_season.R FOLDER LINES ENVIRONMENTS REPS CONSTITUENTS: an invented trial as exports and a sample list. True
# components differ between constituents; a tenth of the plots is lost.
arguments <- commandArgs(trailingOnly = TRUE)
folder <- arguments[1]
size <- as.integer(arguments[2:5])
set.seed(11)
level <- c(protein = 36, oil = 18, ash = 4.5, fiber = 4.8, starch = 1.2, sucrose = 5, raffinose = 0.9, stachyose = 3.5,
           glucose = 0.6, fructose = 0.5, lysine = 2.4, methionine = 0.5, cysteine = 0.6, threonine = 1.5,
           tryptophan = 0.5, arginine = 2.8, leucine = 2.8, isoleucine = 1.7, valine = 1.8, histidine = 1)[seq_len(size[4])]
plots <- expand.grid(line = seq_len(size[1]), rep = seq_len(size[3]), environment = seq_len(size[2]))
plots <- plots[sample(nrow(plots), round(0.9 * nrow(plots))), ]
plots <- plots[order(plots$environment, plots$rep, plots$line), ]
plots$sample <- sprintf("S%06d", seq_len(nrow(plots)))
within <- interaction(plots$environment, plots$rep, drop = TRUE)
cell <- interaction(plots$line, plots$environment, drop = TRUE)
values <- sapply(seq_along(level), function(i) {
  sd <- level[i] * (0.02 + 0.001 * i)
  pmax(0.02, level[i] + sd * rnorm(size[1])[plots$line] + 0.8 * sd * rnorm(size[2])[plots$environment] +
    0.3 * sd * rnorm(nlevels(within))[within] + 0.4 * sd * rnorm(nlevels(cell))[cell] + 0.6 * sd * rnorm(nrow(plots)))
})
colnames(values) <- paste(names(level), "13% mb")
minutes <- seq_len(nrow(plots)) - 1
exports <- data.frame(Sample = plots$sample,
                      Time = format(as.POSIXct("2026-10-01 00:00:00", tz = "UTC") + 60 * minutes, "%Y-%m-%d %H:%M"),
                      round(values, 4), check.names = FALSE)
list <- data.frame(sample = plots$sample, line = sprintf("L%05d", plots$line), trial = "BIG",
                   environment = paste0("E", plots$environment), rep = plots$rep, plot = seq_len(nrow(plots)),
                   check = ifelse(plots$line == 1, "yes", ""))
write.csv(exports, file.path(folder, "exports.csv"), row.names = FALSE, quote = FALSE)
write.csv(list, file.path(folder, "samples.csv"), row.names = FALSE, quote = FALSE)
