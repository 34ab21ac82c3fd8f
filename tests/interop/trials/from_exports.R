# from_exports.R make FOLDER: an invented season as it leaves the instrument (two or three readings a plot, as-is values
# with their moisture, wet plots of one site, a plot lost), its sample list, and rules that know plot variances.
# from_exports.R check FOLDER: every number that `run --trial-model` writes for selection, again from the raw readings:
# conversion and means by hand, models by lme4, Dunnett by multcomp; with known variances by dense restricted likelihood.
arguments <- commandArgs(trailingOnly = TRUE)
folder <- arguments[2]
path <- function(name) file.path(folder, name)

if (arguments[1] == "make") {
  set.seed(5)
  plots <- expand.grid(line = 1:14, rep = 1:2, environment = 1:3)
  plots$sample <- sprintf("P%03d", seq_len(nrow(plots)))
  cell <- interaction(plots$line, plots$environment, drop = TRUE)
  within <- interaction(plots$environment, plots$rep, drop = TRUE)
  truth <- function(level, sd) level + sd * rnorm(14)[plots$line] + 0.5 * sd * rnorm(3)[plots$environment] +
    0.3 * sd * rnorm(6)[within] + 0.4 * sd * rnorm(42)[cell] + 0.5 * sd * rnorm(nrow(plots))
  plots$protein <- truth(36, 1.1)
  plots$oil <- truth(19, 0.7)
  plots$wet <- plots$environment == 2 & plots$line %in% c(3, 8, 9) & plots$rep == 1
  listed <- data.frame(sample = plots$sample, line = sprintf("N-%02d", plots$line), trial = "T1",
                       environment = c("Hill", "Mill", "Field")[plots$environment], rep = plots$rep,
                       plot = seq_len(nrow(plots)), check = ifelse(plots$line %in% c(2, 11), "yes", ""))
  readings <- plots[rep(seq_len(nrow(plots)), 1 + seq_len(nrow(plots)) %% 3), ]
  readings <- readings[readings$sample != "P060", ]
  moisture <- round(ifelse(readings$wet, 9.6, 6.4) + 0.3 * rnorm(nrow(readings)), 2)
  as_is <- function(x, error) round((x + error * rnorm(length(x))) * (100 - moisture) / 87, 2)
  export <- data.frame(Sample = readings$sample,
                       Time = format(as.POSIXct("2026-10-05 08:00:00", tz = "UTC") + 60 * seq_len(nrow(readings)),
                                     "%Y-%m-%d %H:%M"),
                       Moisture = moisture, protein = as_is(readings$protein, 0.12), oil = as_is(readings$oil, 0.1))
  names(export)[4:5] <- c("Protein (% as is)", "Oil (% as is)")
  write.csv(export, path("exports.csv"), row.names = FALSE, quote = FALSE)
  write.csv(listed, path("samples.csv"), row.names = FALSE, quote = FALSE)
  writeLines('{ "materials": { "soybean-whole": { "plot_sd": { "protein": 0.5 }, "repeatability_sd": { "protein": 0.6 } } } }',
             path("known.json"))
  quit(status = 0)
}

suppressPackageStartupMessages({
  library(lme4)
  library(multcomp)
})
failures <- 0
compare <- function(what, got, expected, tolerance, scale = 0) {
  off <- max(abs(got - expected) / pmax(abs(expected), scale))
  good <- length(got) == length(expected) && is.finite(off) && off <= tolerance
  if (!good) failures <<- failures + 1
  cat(sprintf("%-4s %-62s %.1e (allowed %.0e)\n", if (good) "ok" else "FAIL", what, off, tolerance))
}
export <- read.csv(path("exports.csv"), check.names = FALSE)
listed <- read.csv(path("samples.csv"))
export <- export[export$Moisture >= 5 & export$Moisture <= 8, ] # the built-in window of soybean-whole
to_13 <- function(column) tapply(export[[column]] * 87 / (100 - export$Moisture), export$Sample, mean)
plots <- listed[listed$sample %in% export$Sample, ]
plots$protein <- as.vector(to_13("Protein (% as is)")[plots$sample])
plots$oil <- as.vector(to_13("Oil (% as is)")[plots$sample])
plots$readings <- as.vector(table(export$Sample)[plots$sample])
plots$line <- factor(plots$line)
plots$er <- interaction(plots$environment, plots$rep, drop = TRUE)
plots$le <- interaction(plots$line, plots$environment, drop = TRUE)
stopifnot(nrow(plots) == 80) # of 84: three wet, one lost
checks <- c("N-02", "N-11")

lines <- read.csv(path("results/lines.csv"))
lines <- lines[match(levels(plots$line), lines$line), ]
trials <- read.csv(path("results/trials.csv"))
control <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhobeg = 1e-2, rhoend = 1e-10, maxfun = 1e5),
                       calc.derivs = FALSE, check.conv.singular = "ignore")
means_of_lines <- function(data) cbind(diag(nlevels(data$line)), matrix(1 / 3, nlevels(data$line), 2))
for (constituent in c("protein", "oil")) {
  ours <- function(name) lines[[paste0(constituent, name)]]
  plots$y <- plots[[constituent]]
  compare(paste(constituent, "plain mean"), ours(""), as.vector(tapply(plots$y, plots$line, mean)), 1e-12)
  compare(paste(constituent, "plots"), ours("_n"), as.vector(table(plots$line)), 0)
  random <- lmer(y ~ environment + (1 | line) + (1 | er) + (1 | le), plots, control = control)
  fixed <- lmer(y ~ 0 + line + environment + (1 | er) + (1 | le), plots, control = control)
  form <- means_of_lines(plots)
  adjusted <- drop(form %*% fixef(fixed))
  covariance <- form %*% as.matrix(vcov(fixed)) %*% t(form)
  compare(paste(constituent, "adjusted mean"), ours("_adj"), adjusted, 1e-7)
  compare(paste(constituent, "its standard error"), ours("_adj_se"), sqrt(diag(covariance)), 1e-4)
  blup <- fixef(random)[[1]] + mean(c(0, fixef(random)[-1])) + ranef(random, condVar = FALSE)$line[levels(plots$line), 1]
  compare(paste(constituent, "prediction (BLUP)"), ours("_blup"), blup, 1e-6)
  compare(paste(constituent, "rank"), ours("_rank"), rank(-blup), 0)
  df <- trials$sed_df[trials$constituent == constituent]
  for (check in checks) {
    column <- paste0("_vs_", tolower(gsub("-", "_", check)))
    base <- match(check, levels(plots$line))
    contrasts <- cbind(contrMat(table(plots$line), "Dunnett", base = base), 0, 0)
    difference <- drop(contrasts %*% fixef(fixed))
    compare(paste(constituent, "against", check), ours(column)[-base], difference, 1e-6, scale = 1)
    set.seed(1)
    p <- suppressWarnings(summary(glht(fixed, linfct = contrasts, df = round(df)), # it says where 1e-5 was not reached
                                  test = adjusted("single-step", abseps = 1e-5, maxpts = 1e5)))$test$pvalues
    # Fractions of a degree of freedom, and correlations that are only nearly products.
    compare(paste(constituent, "against", check, "Dunnett's p"), ours(paste0(column, "_p"))[-base], as.vector(p), 1e-3, scale = 1)
  }
}

# Known variances: y ~ N(X b, sum s2 ZZ' + diag(v)), by dense restricted likelihood. The plots' means rest on one to
# three readings, so that their variances differ.
known <- read.csv(path("known/lines.csv"))
known <- known[match(levels(plots$line), known$line), ]
trial <- read.csv(path("known/trials.csv"))
trial <- trial[trial$constituent == "protein", ]
y <- plots$protein
v <- (0.5^2 + 0.6^2 / plots$readings) * 0.87^2 # the rules state both on dry matter
z <- lapply(c("line", "er", "le"), function(name) model.matrix(~ 0 + plots[[name]]))
covariance_of <- function(s2) Reduce(`+`, Map(function(m, s) s * tcrossprod(m), z, s2)) + diag(v)
criterion <- function(logs, x) {
  w <- chol2inv(root <- chol(covariance_of(exp(logs))))
  xwx <- crossprod(x, w %*% x)
  r <- y - x %*% solve(xwx, crossprod(x, w %*% y))
  (length(y) - ncol(x)) * log(2 * pi) + 2 * sum(log(diag(root))) + as.numeric(determinant(xwx)$modulus) + drop(crossprod(r, w %*% r))
}
x <- model.matrix(~ environment, plots)
fit <- nlminb(log(c(1, 0.1, 0.2)), criterion, x = x, control = list(rel.tol = 1e-14, x.tol = 1e-12, iter.max = 500, eval.max = 2000))
s2 <- exp(fit$par)
compare("known variances: restricted likelihood", trial$reml_criterion, fit$objective, 1e-9)
compare("known variances: components", c(trial$var_line, trial$var_rep, trial$var_line_by_environment), s2, 1e-4, scale = 0.05)
compare("known variances: mean residual", trial$var_residual, mean(v), 1e-12)
w <- solve(covariance_of(s2))
b <- solve(crossprod(x, w %*% x), crossprod(x, w %*% y))
blup <- b[1] + mean(c(0, b[-1])) + s2[1] * crossprod(z[[1]], w %*% (y - x %*% b))
compare("known variances: prediction (BLUP)", known$protein_blup, drop(blup), 1e-6)
x <- model.matrix(~ 0 + line + environment, plots)
z <- z[2:3]
fit <- nlminb(log(c(0.1, 0.2)), criterion, x = x, control = list(rel.tol = 1e-14, x.tol = 1e-12, iter.max = 500, eval.max = 2000))
w <- solve(covariance_of(exp(fit$par)))
inverse <- solve(crossprod(x, w %*% x))
form <- means_of_lines(plots)
compare("known variances: adjusted mean", known$protein_adj, drop(form %*% inverse %*% crossprod(x, w %*% y)), 1e-7)
compare("known variances: its standard error", known$protein_adj_se, sqrt(diag(form %*% inverse %*% t(form))), 1e-4)

cat(if (failures == 0) "all comparisons hold\n" else paste(failures, "comparisons fail\n"))
quit(status = if (failures == 0) 0 else 1)
