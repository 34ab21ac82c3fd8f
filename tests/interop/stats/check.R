# The stats library against R on R's own data sets: mixed models fitted live by lme4 with tight control, Dunnett by
# multcomp, studentised range by integrate(), agreement and summaries by base R. Prints one line a comparison and
# ends with status 1 when one fails.
# Usage: Rscript check.R DRIVER SCRATCH_DIR
suppressPackageStartupMessages({
  library(lme4)
  library(multcomp)
})
arguments <- commandArgs(trailingOnly = TRUE)
driver <- arguments[1]
scratch <- arguments[2]
failures <- 0

number <- function(x) ifelse(is.infinite(x), "Inf", formatC(x, digits = 17, format = "g"))

call_driver <- function(job, ...) {
  path <- file.path(scratch, "job.txt")
  writeLines(c(...), path)
  lines <- system2(driver, c(job, shQuote(path)), stdout = TRUE)
  status <- attr(lines, "status")
  if (!is.null(status)) stop("the driver ended with status ", status, ": ", paste(lines, collapse = " "))
  parts <- strsplit(lines, " ")
  values <- vapply(parts, function(p) as.numeric(p[2]), 0)
  names(values) <- vapply(parts, function(p) p[1], "")
  values
}
pick <- function(values, name) unname(values[names(values) == name])

# `tolerance` is relative to the larger of the expected value and `scale`.
compare <- function(what, got, expected, tolerance, scale = 0) {
  worst <- max(abs(got - expected) / pmax(abs(expected), scale))
  good <- length(got) == length(expected) && is.finite(worst) && worst <= tolerance
  if (!good) failures <<- failures + 1
  cat(sprintf("%-4s %-58s %.1e (allowed %.0e)\n", if (good) "ok" else "FAIL", what, worst, tolerance))
}

factor_words <- function(name, f) c(name, nlevels(f), as.integer(f))

# Fits in both programs and compares criterion, components, BLUPs and the given fixed forms. Tolerances are those
# of lme4's optimiser: ours ends where the score is 0.
mixed <- function(what, data, response, fixed = list(), random, covariates = list(), formula, forms = list(),
                  tolerance = 1e-6) {
  job <- c(nrow(data), number(data[[response]]),
           length(covariates), unlist(Map(function(n, x) c(n, number(x)), names(covariates), covariates)),
           length(fixed), unlist(Map(factor_words, names(fixed), fixed)),
           length(random), unlist(Map(factor_words, names(random), random)),
           length(forms), unlist(lapply(forms, function(f) c(nrow(f$terms), t(f$terms)))))
  ours <- call_driver("mixed", job)
  control <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhobeg = 1e-2, rhoend = 1e-10, maxfun = 1e5),
                         calc.derivs = FALSE, check.conv.singular = "ignore")
  fit <- lmer(formula, data, control = control, start = attr(formula, "start"))
  fit <- update(fit, start = getME(fit, "theta")) # once more from there
  components <- as.data.frame(VarCorr(fit))
  expected <- c(components$vcov[match(names(random), components$grp)], sigma(fit)^2)
  compare(paste(what, "converged"), pick(ours, "converged"), 1, 0)
  compare(paste(what, "REML criterion"), pick(ours, "criterion"), as.numeric(REMLcrit(fit)), 1e-9)
  # Equal or better likelihood, whatever the optimiser did.
  better <- pick(ours, "criterion") <= REMLcrit(fit) + 1e-7
  compare(paste(what, "likelihood not below lme4's"), as.numeric(better), 1, 0)
  compare(paste(what, "components"), pick(ours, "variance"), expected, tolerance, scale = sigma(fit)^2 * 1e-3)
  blups <- unlist(lapply(names(random), function(n) ranef(fit, condVar = FALSE)[[n]][levels(random[[n]]), 1]))
  compare(paste(what, "BLUPs"), pick(ours, "blup"), blups, tolerance, scale = max(abs(blups), 1e-6))
  if (length(forms) > 0) {
    beta <- fixef(fit)
    v <- as.matrix(vcov(fit))
    compare(paste(what, "fixed effects"), pick(ours, "estimate"),
            vapply(forms, function(f) sum(f$r * beta), 0), 1e-8)
    compare(paste(what, "their standard errors"), pick(ours, "se"),
            vapply(forms, function(f) sqrt(drop(f$r %*% v %*% f$r)), 0), tolerance)
  }
  invisible(ours)
}
intercept_form <- list(list(terms = matrix(c(0, 1), 1), r = 1))

ours <- mixed("Dyestuff", Dyestuff, "Yield", random = list(Batch = Dyestuff$Batch), formula = Yield ~ 1 + (1 | Batch),
              forms = intercept_form)
mean_squares <- anova(lm(Yield ~ Batch, Dyestuff))$`Mean Sq`
compare("Dyestuff against the analysis of variance", pick(ours, "variance"),
        c((mean_squares[1] - mean_squares[2]) / 5, mean_squares[2]), 1e-10)

ours <- mixed("Dyestuff2", Dyestuff2, "Yield", random = list(Batch = Dyestuff2$Batch),
              formula = Yield ~ 1 + (1 | Batch), forms = intercept_form)
compare("Dyestuff2 batch at the boundary", pick(ours, "boundary")[1], 1, 0)

ours <- mixed("Pastes", Pastes, "strength", random = list(batch = Pastes$batch, sample = Pastes$sample),
              formula = strength ~ 1 + (1 | batch) + (1 | sample), forms = intercept_form)
mean_squares <- anova(lm(strength ~ batch / cask, Pastes))$`Mean Sq`
compare("Pastes against the analysis of variance", pick(ours, "variance"),
        c((mean_squares[1] - mean_squares[2]) / 6, (mean_squares[2] - mean_squares[3]) / 2, mean_squares[3]), 1e-10)

ours <- mixed("Penicillin", Penicillin, "diameter",
              random = list(plate = Penicillin$plate, sample = Penicillin$sample),
              formula = diameter ~ 1 + (1 | plate) + (1 | sample), forms = intercept_form)
mean_squares <- anova(lm(diameter ~ plate + sample, Penicillin))$`Mean Sq`
compare("Penicillin against the analysis of variance", pick(ours, "variance"),
        c((mean_squares[1] - mean_squares[3]) / 6, (mean_squares[2] - mean_squares[3]) / 24, mean_squares[3]), 1e-10)

# Oats, a split plot: variety and nitrogen fixed with their interaction.
oats <- as.data.frame(nlme::Oats)
oats$Block <- factor(oats$Block, ordered = FALSE)
oats$Variety <- factor(oats$Variety)
oats$nitro <- factor(oats$nitro)
oats$plot <- interaction(oats$Block, oats$Variety)
oats$cell <- interaction(oats$Variety, oats$nitro)
# Cell (v, n): in our positions intercept, 3 varieties, 4 nitrogen levels, 12 cells; in R treatment contrasts.
design <- expand.grid(Variety = levels(oats$Variety), nitro = levels(oats$nitro))
rows <- model.matrix(~ Variety * nitro, design)
forms <- lapply(seq_len(nrow(design)), function(i) {
  v <- as.integer(design$Variety[i])
  n <- as.integer(design$nitro[i])
  cell <- match(paste(design$Variety[i], design$nitro[i], sep = "."), levels(oats$cell))
  list(terms = cbind(c(0, v, 3 + n, 7 + cell), 1), r = rows[i, ])
})
ours <- mixed("Oats split plot", oats, "yield",
              fixed = list(Variety = oats$Variety, nitro = oats$nitro, cell = oats$cell),
              random = list(Block = oats$Block, plot = oats$plot),
              formula = yield ~ Variety * nitro + (1 | Block) + (1 | plot), forms = forms)
ms <- c(3175.05555555556, 601.330555555556, 177.083333333333)
compare("Oats against its strata (Yates 1935)", pick(ours, "variance"),
        c((ms[1] - ms[2]) / 12, (ms[2] - ms[3]) / 4, ms[3]), 1e-9)

# Oats as complete blocks of variety means; nitrogen as a covariate on the plots; plots lost.
means <- aggregate(yield ~ Block + Variety, oats, mean)
mixed("Oats complete blocks", means, "yield", fixed = list(Block = means$Block), random = list(Variety = means$Variety),
      formula = yield ~ Block + (1 | Variety))
oats$dose <- as.numeric(as.character(oats$nitro))
mixed("Oats linear in nitrogen", oats, "yield", covariates = list(dose = oats$dose),
      random = list(Block = oats$Block, plot = oats$plot), formula = yield ~ dose + (1 | Block) + (1 | plot),
      forms = list(list(terms = matrix(c(0, 1), 1), r = c(1, 0)), list(terms = matrix(c(1, 1), 1), r = c(0, 1))))
lost <- oats[-c(3, 17, 18, 40, 41, 55, 70), ]
mixed("Oats with seven plots lost", lost, "yield", covariates = list(dose = lost$dose),
      random = list(Block = lost$Block, plot = lost$plot), formula = yield ~ dose + (1 | Block) + (1 | plot))

# Unbalanced invented trial of 200 lines, 4 environments, 2 reps; every 11th plot lost.
set.seed(20)
trial <- expand.grid(line = factor(1:200), rep = factor(1:2), environment = factor(1:4))
trial$er <- interaction(trial$environment, trial$rep)
trial$le <- interaction(trial$line, trial$environment)
trial$y <- 35 + rnorm(200)[trial$line] + 0.3 * rnorm(8)[trial$er] + 0.5 * rnorm(800)[trial$le] +
  as.integer(trial$environment) / 2 + 0.5 * rnorm(nrow(trial))
trial <- trial[-seq(1, nrow(trial), 11), ]
# The criterion is some 4,000 and its doubles end near 1e-12 of it; an optimiser that only compares criteria cannot
# place a component nearer than the root of that, 1e-6.
mixed("invented trial of 200 lines", trial, "y", fixed = list(environment = trial$environment),
      random = list(line = trial$line, er = trial$er, le = trial$le),
      formula = y ~ environment + (1 | line) + (1 | er) + (1 | le), tolerance = 1e-5)

# Dunnett. multcomp's own error is set small; below p = 0.001 its relative error is large.
control <- function(data, response, group, base, alternative) {
  data$group <- relevel(factor(data[[group]], ordered = FALSE), base)
  fit <- lm(reformulate("group", response), data)
  n <- table(data$group)
  t <- unname(summary(fit)$coefficients[-1, 3])
  loadings <- sqrt(n[-1] / (n[-1] + n[1]))
  set.seed(1)
  test <- summary(glht(fit, linfct = mcp(group = "Dunnett"), alternative = alternative),
                  test = adjusted("single-step", abseps = 1e-9, maxpts = 5e6))
  side <- c(two.sided = 0, greater = 1, less = 2)[[alternative]]
  ours <- call_driver("dunnett", number(fit$df.residual), side, length(t), number(t), number(as.numeric(loadings)))
  compare(paste("Dunnett", response, alternative), pick(ours, "p"), as.numeric(test$test$pvalues), 1e-6, scale = 1)
}
data(recovery, package = "multcomp")
control(recovery, "minutes", "blanket", "b0", "less")
control(recovery, "minutes", "blanket", "b0", "two.sided")
control(PlantGrowth, "weight", "group", "ctrl", "two.sided")
control(PlantGrowth, "weight", "group", "ctrl", "greater")

# Studentised range: nested integrate(), and R's own ptukey, which is off by some 1e-6 itself.
cases <- expand.grid(q = c(1, 3, 5), k = c(2, 3, 8, 20), df = c(3, 10, 60, Inf))
ours <- call_driver("range", nrow(cases), t(cbind(number(cases$q), cases$k, number(cases$df))))
compare("ptukey", pick(ours, "cdf"), ptukey(cases$q, cases$k, cases$df), 1e-5, scale = 1)
compare("qtukey", pick(ours, "quantile"), qtukey(0.95, cases$k, cases$df), 1e-4)
range_cdf <- function(w, k) integrate(function(z) k * dnorm(z) * (pnorm(z) - pnorm(z - w))^(k - 1), -9, 9,
                                      rel.tol = 1e-11, subdivisions = 500)$value
exact_cdf <- function(q, k, df) {
  if (is.infinite(df)) return(range_cdf(q, k))
  density <- function(s) exp(log(2) + df / 2 * log(df / 2) - lgamma(df / 2) + (df - 1) * log(s) - df * s^2 / 2)
  integrate(function(s) density(s) * vapply(q * s, range_cdf, 0, k = k), 0, 6, rel.tol = 1e-10,
            subdivisions = 500)$value
}
compare("studentised range by integrate()", pick(ours, "cdf"), mapply(exact_cdf, cases$q, cases$k, cases$df), 1e-9,
        scale = 1)

# Agreement on Daudin's milk: factory (X5) against laboratory (X6) dry substance.
data(milk, package = "robustbase")
agree <- function(what, nir, reference) {
  ours <- call_driver("agree", length(nir), number(nir), number(reference))
  e <- nir - reference
  line <- summary(lm(reference ~ nir))
  slope <- line$coefficients[2, ]
  compare(what, pick(ours, "value"),
          c(mean(e), sd(e), sqrt(mean(e^2)), t.test(e)$p.value, slope[[1]], line$coefficients[1, 1], line$r.squared,
            2 * pt(-abs((slope[[1]] - 1) / slope[[2]]), length(e) - 2), sd(reference) / sd(e)), 1e-9)
}
agree("agreement, milk", milk$X5, milk$X6)
agree("agreement, milk without row 70", milk$X5[-70], milk$X6[-70])

for (name in c("chem", "abbey", "DDT")) {
  values <- getExportedValue("MASS", name)
  ours <- call_driver("summary", length(values), number(values))
  compare(paste("summary,", name), pick(ours, "value"),
          c(mean(values), sd(values), median(values), quantile(values, c(0.1, 0.75)), mad(values, constant = 1),
            max(abs(values - mean(values))) / sd(values)), 1e-12)
}

# NIST StRD Michelso is Michelson's speed of light, which R holds as `morley`; certified mean and standard deviation. The
# digits are those that doubles allow: 13.8 for the latter.
ours <- call_driver("summary", nrow(morley), sprintf("%.2f", 299 + morley$Speed / 1000))
compare("NIST Michelso, mean", ours[[1]], 299.8524, 1e-15)
compare("NIST Michelso, standard deviation", ours[[2]], 0.0790105478190518, 3e-14)

cat(if (failures == 0) "all comparisons hold\n" else paste(failures, "comparisons fail\n"))
quit(status = if (failures == 0) 0 else 1)
