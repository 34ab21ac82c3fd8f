# speed.R FOLDER SECONDS DRIVER: for each constituent the model with random lines, fitted by the driver of the stats
# library and by lme4, as it is called without further settings, in turn; seconds of the processor. SECONDS: what thresh trials took for all of its table.
suppressPackageStartupMessages(library(lme4))
arguments <- commandArgs(trailingOnly = TRUE)
folder <- arguments[1]
exports <- read.csv(file.path(folder, "exports.csv"), check.names = FALSE)
list <- read.csv(file.path(folder, "samples.csv"))
trials <- read.csv(file.path(folder, "trials.csv"))
data <- data.frame(line = factor(list$line), environment = factor(list$environment),
                   er = interaction(list$environment, list$rep), le = interaction(list$line, list$environment, drop = TRUE))
words <- function(name) c(name, nlevels(data[[name]]), as.integer(data[[name]]))
fit_here <- function() {
  job <- c(nrow(data), formatC(data$y, digits = 17, format = "g"), 0, 1, words("environment"), 3, words("line"),
           words("er"), words("le"), 0)
  path <- file.path(folder, "job.txt")
  writeLines(as.character(job), path)
  parts <- strsplit(system2(arguments[3], c("mixed", shQuote(path)), stdout = TRUE), " ")
  values <- vapply(parts, function(p) as.numeric(p[2]), 0)
  names(values) <- vapply(parts, function(p) p[1], "")
  values[c("criterion", "seconds")]
}
ours <- theirs <- numeric()
worst <- -Inf
for (column in grep(" 13% mb$", names(exports), value = TRUE)) {
  data$y <- exports[[column]]
  here <- fit_here()
  time <- system.time(fit <- suppressMessages(suppressWarnings(
    lmer(y ~ environment + (1 | line) + (1 | er) + (1 | le), data))))
  ours <- c(ours, here[["seconds"]])
  theirs <- c(theirs, time[["user.self"]] + time[["sys.self"]])
  excess <- here[["criterion"]] - REMLcrit(fit)
  worst <- max(worst, excess)
  cat(sprintf("%-12s thresh %6.3f s  lme4 %6.3f s  REML criterion %.4f, thresh's minus lme4's %+.1e\n",
              sub(" 13% mb", "", column), here[["seconds"]], time[["user.self"]] + time[["sys.self"]], REMLcrit(fit), excess))
}
cat(sprintf("%d fits: thresh %.2f s, lme4 %.2f s, %.1f times as fast; criterion never higher by more than %.1e\n",
            length(ours), sum(ours), sum(theirs), sum(theirs) / sum(ours), worst))
cat(sprintf("thresh trials, all %d rows with a second fit and Satterthwaite: %s s\n", nrow(trials), arguments[2]))
quit(status = if (worst < 1e-4 && sum(theirs) / sum(ours) > 10) 0 else 1)
