# check.R SCRATCH DEMO: the demo season's trials again with lme4 and dense mixed-model equations, Dunnett by mvtnorm,
# and the agreement with wet chemistry with lm() and t.test(). Means of samples are thresh's (tests/interop/demo checks
# them); plots, models and everything after are computed here. Ends with status 1 when a comparison fails.
suppressPackageStartupMessages({
  library(lme4)
  library(mvtnorm)
})
arguments <- commandArgs(trailingOnly = TRUE)
scratch <- arguments[1]
demo <- arguments[2]
failures <- 0
worst <- list()
# `tolerance` is relative to the larger of the expected value and `scale`.
compare <- function(what, where, got, expected, tolerance, scale = 0) {
  off <- max(abs(got - expected) / pmax(abs(expected), scale))
  good <- length(got) == length(expected) && is.finite(off) && off <= tolerance
  if (!good) {
    failures <<- failures + 1
    cat(sprintf("FAIL %s, %s: %.2e (allowed %.0e)\n", where, what, off, tolerance))
  }
  worst[[what]] <<- c(max(worst[[what]][1], off, na.rm = TRUE), tolerance, sum(worst[[what]][3], 1, na.rm = TRUE))
}
read <- function(name) read.csv(file.path(scratch, name), colClasses = "character")
numbers <- function(frame, columns) {
  for (column in columns) frame[[column]] <- as.numeric(frame[[column]])
  frame
}

samples <- read("samples.csv")
listed <- read.csv(file.path(demo, "samples.csv"), colClasses = "character")
samples <- merge(samples, listed[, c("sample", "year", "kind", "duplicate_of")], by = "sample")
samples <- samples[!samples$kind %in% c("single_plant", "remnant"), ]
trials <- numbers(read("trials.csv"), c("grand_mean", "cv", "sed", "sed_df", "lsd", "var_line", "var_rep",
                                        "var_line_by_environment", "var_residual", "h2_plain", "h2_cullis", "h2_piepho",
                                        "reml_criterion", "plots"))
lines <- read("lines.csv")
own <- c("adj", "adj_se", "blup", "rank", grep("^vs_", names(lines), value = TRUE))
lines <- numbers(lines, own)

# Means of plots: a duplicate belongs to its original's plot.
plots_of <- function(material, trial, constituent) {
  rows <- samples[samples$material == material & samples$trial == trial, ]
  rows$y <- as.numeric(rows[[constituent]])
  rows <- rows[!is.na(rows$y), ]
  if (any(rows$plot == "")) rows$plot[rows$plot == ""] <- rows$sample[rows$plot == ""]
  means <- aggregate(y ~ line + environment + year + rep + plot, rows, mean)
  means$environment <- factor(paste(means$environment, means$year))
  means$line <- factor(means$line)
  means$er <- interaction(means$environment, means$rep, drop = TRUE)
  means$le <- interaction(means$line, means$environment, drop = TRUE)
  means
}
control <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhobeg = 1e-2, rhoend = 1e-10, maxfun = 1e5),
                       calc.derivs = FALSE, check.conv.singular = "ignore")
refit <- function(formula, data) {
  fit <- suppressMessages(suppressWarnings(lmer(formula, data, control = control)))
  suppressMessages(suppressWarnings(update(fit, start = getME(fit, "theta"))))
}
component <- function(fit, name) {
  v <- as.data.frame(VarCorr(fit))
  found <- v$vcov[v$grp == name]
  if (length(found)) found else 0
}
mean_difference <- function(v) {
  n <- nrow(v)
  2 * (sum(diag(v)) - (sum(v) - sum(diag(v))) / (n - 1)) / n
}
# Inverse of the mixed-model equations at lme4's components: prediction error variances with the fixed effects' share.
equations_inverse <- function(fit, data, groups) {
  x <- getME(fit, "X")
  z <- lapply(groups, function(g) model.matrix(~ 0 + factor(data[[g]])))
  s2 <- sigma(fit)^2
  variances <- vapply(groups, function(g) component(fit, g), 0)
  keep <- variances > 1e-9 * s2
  w <- do.call(cbind, c(list(x), z[keep]))
  penalty <- c(rep(0, ncol(x)), unlist(Map(function(m, v) rep(s2 / v, ncol(m)), z[keep], variances[keep])))
  list(inverse = solve(crossprod(w) + diag(penalty)) * s2, columns = ncol(x))
}

check_trait <- function(row) {
  where <- paste(row$material, row$trial, row$constituent)
  data <- plots_of(row$material, row$trial, row$constituent)
  compare("plots", where, row$plots, nrow(data), 0)
  several <- nlevels(data$environment) > 1
  with <- c(if (grepl("+ rep", row$model, fixed = TRUE)) "er",
            if (grepl("line by environment", row$model)) "le")
  random <- paste(c("", sprintf("(1 | %s)", with)), collapse = " + ")
  fixed_part <- if (several) "environment" else "1"
  fit <- refit(as.formula(paste("y ~", fixed_part, "+ (1 | line)", random)), data)
  s2 <- sigma(fit)^2
  better <- row$reml_criterion <= REMLcrit(fit) + 1e-6
  compare("likelihood not below lme4's", where, as.numeric(better), 1, 0)
  ours <- c(row$var_line, if ("er" %in% with) row$var_rep, if ("le" %in% with) row$var_line_by_environment,
            row$var_residual)
  theirs <- c(component(fit, "line"), vapply(with, function(g) component(fit, g), 0), s2)
  compare("variance components", where, ours, theirs, 2e-4, scale = 0.05 * max(theirs))
  centre <- if (several) mean(c(0, fixef(fit)[-1])) + fixef(fit)[[1]] else fixef(fit)[[1]]
  compare("grand mean", where, row$grand_mean, centre, 1e-7)
  compare("coefficient of variation", where, row$cv, 100 * sqrt(s2) / centre, 2e-4)
  here <- lines[lines$material == row$material & lines$trial == row$trial & lines$constituent == row$constituent, ]
  here <- here[!is.na(here$adj), ]
  compare("lines", where, nrow(here), nlevels(data$line), 0)
  here <- here[match(levels(data$line), here$line), ]
  blup <- centre + ranef(fit, condVar = FALSE)$line[levels(data$line), 1]
  compare("predictions (BLUP)", where, here$blup, blup, 1e-5)
  if (component(fit, "line") > 1e-6 * s2)
    compare("ranks", where, here$rank, rank(-round(blup, 9), ties.method = "min"), 0)
  # Heritability.
  e <- tapply(data$environment, data$line, function(x) length(unique(x)))
  n <- as.vector(table(data$line))
  noise <- (if ("le" %in% with) component(fit, "le") * mean(1 / e) else 0) + s2 * mean(1 / n)
  compare("heritability, plain", where, row$h2_plain, component(fit, "line") / (component(fit, "line") + noise), 1e-4, scale = 0.05)
  # Fixed lines, each in its own components.
  fixed <- refit(as.formula(paste("y ~ 0 + line", if (several) "+ environment", random)), data)
  beta <- fixef(fixed)
  v <- as.matrix(vcov(fixed))
  l <- cbind(diag(nlevels(data$line)),
             if (several) matrix(1 / nlevels(data$environment), nlevels(data$line), nlevels(data$environment) - 1))
  compare("adjusted means (BLUE)", where, here$adj, drop(l %*% beta), 1e-6)
  covariance <- l %*% v %*% t(l)
  compare("their standard errors", where, here$adj_se, sqrt(diag(covariance)), 2e-4)
  vd <- mean_difference(covariance)
  compare("standard error of a difference", where, row$sed, sqrt(vd), 2e-4)
  compare("least significant difference", where, row$lsd, qt(0.975, row$sed_df) * sqrt(vd), 2e-4)
  compare("heritability, Piepho", where, row$h2_piepho, component(fit, "line") / (component(fit, "line") + vd / 2), 2e-4, scale = 0.05)
  if (component(fit, "line") > 1e-6 * s2) {
    mme <- equations_inverse(fit, data, c("line", with))
    at <- mme$columns + seq_len(nlevels(data$line))
    compare("heritability, Cullis", where, row$h2_cullis,
            1 - mean_difference(mme$inverse[at, at]) / (2 * component(fit, "line")), 5e-4, scale = 0.05)
  }
  # Dunnett for each check: single-step p from the exact correlations, for the trials of protein and oil.
  if (!row$constituent %in% c("protein", "oil")) return(invisible())
  checks <- unique(listed$line[listed$trial == row$trial & listed$check == "yes"])
  for (check in intersect(checks, levels(data$line))) {
    column <- paste0("vs_", gsub("[^a-z0-9]", "_", tolower(check)))
    base <- match(check, levels(data$line))
    k <- diag(nlevels(data$line))[-base, ]
    k[, base] <- -1
    difference <- drop(k %*% l %*% beta)
    dv <- k %*% covariance %*% t(k)
    se <- sqrt(diag(dv))
    compare("difference from a check", where, here[[column]][-base], difference, 1e-6, scale = 1)
    compare("its standard error", where, here[[paste0(column, "_se")]][-base], se, 2e-4)
    set.seed(1)
    some <- order(abs(difference / se))[c(1, round(length(se) / 2), round(0.8 * length(se)))]
    p <- vapply(some, function(i) {
      t <- abs(difference[i] / se[i])
      1 - pmvt(rep(-t, length(se)), rep(t, length(se)), df = round(row$sed_df), corr = cov2cor(dv),
               algorithm = GenzBretz(maxpts = 2e5, abseps = 1e-5))[1]
    }, 0)
    compare("Dunnett's p", where, here[[paste0(column, "_p")]][-base][some], p, 1e-3, scale = 1)
  }
}
wanted <- c("moisture", "protein", "oil", "ash", "sucrose", "oleic", "linoleic", "protein_plus_oil", "lysine")
analysed <- trials[trials$model != "" & trials$constituent %in% wanted, ]
if (nrow(analysed) < 20) stop("too few trials were analysed: ", nrow(analysed))
for (i in seq_len(nrow(analysed))) check_trait(analysed[i, ])

# Agreement with wet chemistry: pairs made anew from reference.csv and the means of samples.
agreement <- numbers(read("agreement.csv"), c("n", "nir_minus_reference", "bias_limit", "bias_p", "sep", "rmsep", "slope",
                                              "slope_se", "slope_p", "intercept", "intercept_se", "intercept_p", "r2", "rpd",
                                              "rer", "residual_sd", "reference_sd", "nir_sd", "reference_repeatability_sd"))
reference <- read.csv(file.path(demo, "reference.csv"), check.names = FALSE)
columns <- c(protein = "protein (% DM)", oil = "oil (% DM)", moisture = "moisture")
for (i in seq_len(nrow(agreement))) {
  row <- agreement[i, ]
  where <- paste(row$material, row$oil_type, row$constituent)
  oil <- setNames(listed$oil_type, listed$sample)
  nir <- samples[samples$material == row$material, ]
  nir <- nir[oil[nir$sample] == row$oil_type, ]
  factor <- if (row$basis == "13") 0.87 else 1
  values <- reference[[columns[[row$constituent]]]] * factor
  means <- tapply(values, reference$sample, mean)
  pairs <- data.frame(nir = as.numeric(nir[[row$constituent]]), reference = as.vector(means[nir$sample]))
  pairs <- pairs[complete.cases(pairs), ]
  e <- pairs$nir - pairs$reference
  test <- t.test(e)
  line <- summary(lm(reference ~ nir, pairs))
  b <- line$coefficients
  compare("agreement", where,
          c(row$n, row$nir_minus_reference, row$bias_limit, row$bias_p, row$sep, row$rmsep, row$slope, row$slope_se,
            row$slope_p, row$intercept, row$intercept_se, row$intercept_p, row$r2, row$residual_sd, row$rpd, row$rer,
            row$reference_sd, row$nir_sd),
          c(nrow(pairs), mean(e), diff(test$conf.int) / 2, test$p.value, sd(e), sqrt(mean(e^2)), b[2, 1], b[2, 2],
            2 * pt(-abs((b[2, 1] - 1) / b[2, 2]), nrow(pairs) - 2), b[1, 1], b[1, 2], b[1, 4], line$r.squared, line$sigma,
            sd(pairs$reference) / sd(e), diff(range(pairs$reference)) / sd(e), sd(pairs$reference), sd(pairs$nir)), 1e-8)
  used <- reference$sample %in% nir$sample[!is.na(as.numeric(nir[[row$constituent]]))]
  within <- anova(lm(values[used] ~ reference$sample[used]))
  compare("repeatability of the laboratory", where, row$reference_repeatability_sd, sqrt(within$`Mean Sq`[2]), 1e-9)
}

for (what in names(worst))
  cat(sprintf("%-32s %4d comparisons, worst %.1e (allowed %.0e)\n", what, worst[[what]][3], worst[[what]][1], worst[[what]][2]))
cat(if (failures == 0) "all comparisons hold\n" else paste(failures, "comparisons fail\n"))
quit(status = if (failures == 0) 0 else 1)
