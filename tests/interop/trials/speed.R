# speed.R FOLDER SECONDS: fits the same constituents with lme4 (lines random; thresh fits them random and fixed, and
# computes all else that its table holds) and prints both times and criteria.
suppressPackageStartupMessages(library(lme4))
arguments <- commandArgs(trailingOnly = TRUE)
folder <- arguments[1]
ours <- as.numeric(arguments[2])
exports <- read.csv(file.path(folder, "exports.csv"), check.names = FALSE)
list <- read.csv(file.path(folder, "samples.csv"))
trials <- read.csv(file.path(folder, "trials.csv"))
data <- data.frame(line = factor(list$line), environment = factor(list$environment),
                   er = interaction(list$environment, list$rep), le = interaction(list$line, list$environment, drop = TRUE))
worst <- -Inf
seconds <- 0
for (column in grep(" 13% mb$", names(exports), value = TRUE)) {
  name <- sub(" 13% mb", "", column)
  data$y <- exports[[column]]
  time <- system.time(fit <- suppressMessages(suppressWarnings(
    lmer(y ~ environment + (1 | line) + (1 | er) + (1 | le), data,
         control = lmerControl(calc.derivs = FALSE, check.conv.singular = "ignore")))))
  seconds <- seconds + time[["elapsed"]]
  excess <- trials$reml_criterion[trials$constituent == name] - REMLcrit(fit)
  worst <- max(worst, excess)
  cat(sprintf("%-12s lme4 %6.2f s  REML criterion %.4f, thresh's is higher by %.1e\n", name, time[["elapsed"]],
              REMLcrit(fit), excess))
}
cat(sprintf("thresh %.2f s for everything (%d trait rows), lme4 %.2f s for its fits alone: %.1f times as fast; criterion never higher by more than %.1e\n",
            ours, nrow(trials), seconds, seconds / ours, worst))
quit(status = if (worst < 1e-3 && seconds / ours > 10) 0 else 1)
