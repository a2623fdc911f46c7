# Prints reference.json: mixed models fitted by lme4, with inference by pbkrtest,
# lmerTest and emmeans, and multivariate t probabilities by mvtnorm.
#
#   Rscript make_reference.R > reference.json
#
# It is run in its own folder; polish.R has the fit.
suppressPackageStartupMessages({
  library(lme4); library(lmerTest); library(pbkrtest); library(emmeans)
  library(mvtnorm); library(numDeriv); library(jsonlite); library(nlme)
})

source("polish.R")

estimates <- function(m) {
  vc <- as.data.frame(VarCorr(m))
  list(deviance = as.numeric(-2 * logLik(m)), beta = I(unname(fixef(m))),
       se = I(unname(sqrt(diag(as.matrix(vcov(m)))))), sigma = sigma(m),
       components = unname(lapply(seq_len(nrow(vc)), function(i)
         list(group = vc$grp[i], a = vc$var1[i], b = vc$var2[i], covariance = vc$vcov[i]))))
}

inference <- function(m, tests) {
  adjusted <- vcovAdj(m)
  p <- length(fixef(m))
  unit <- lapply(seq_len(p), function(i) { l <- rep(0, p); l[i] <- 1; l })
  satterthwaite <- lmerTest:::as_lmerModLT(m, update(m, devFunOnly = TRUE))
  list(
    kr_se = I(unname(sqrt(diag(as.matrix(adjusted))))),
    kr_df = I(sapply(unit, function(l) Lb_ddf(l, vcov(m), adjusted))),
    sat_df = I(sapply(unit, function(l) contest1D(satterthwaite, l)$df)),
    tests = unname(lapply(names(tests), function(name) {
      L <- tests[[name]]
      kr <- KRmodcomp(m, L)$stats
      s <- contestMD(satterthwaite, L)
      list(name = name, L = L, kr = list(f = kr$Fstat, df1 = kr$ndf, df2 = kr$ddf, scale = kr$F.scaling, p = kr$p.value),
           satterthwaite = list(f = s[["F value"]], df1 = s$NumDF, df2 = s$DenDF, p = s[["Pr(>F)"]]))
    })))
}

rows_of <- function(columns, p) {
  L <- matrix(0, length(columns), p)
  for (i in seq_along(columns)) L[i, columns[i]] <- 1
  L
}

# case: random is a list of list(name, by, slope, independent).
case <- function(name, data, formula, y, random, tests = list()) {
  message(name)
  reml <- fit(formula, data, TRUE)
  ml <- fit(formula, data, FALSE)
  X <- unname(as.matrix(getME(reml, "X")))
  list(name = name, y = data[[y]], columns = I(names(fixef(reml))), x = X,
       random = lapply(random, function(r) c(
         list(name = r$name, level = as.integer(factor(do.call(paste, data[r$by]))) - 1L),
         if (!is.null(r$slope)) list(slope_name = r$slope, slope = data[[r$slope]], independent = isTRUE(r$independent)))),
       reml = estimates(reml), ml = estimates(ml), inference = inference(reml, tests))
}

# The rule by which unbalanced subsets are had: every seventh row goes, from the third.
thin <- function(d) d[seq_len(nrow(d)) %% 7 != 3, , drop = FALSE]

data(beets)
data(Dyestuff); data(Dyestuff2); data(Pastes); data(Penicillin); data(sleepstudy)
Pastes$cask_in <- paste(Pastes$batch, Pastes$cask)
set.seed(20260101)
ropes <- expand.grid(fall = factor(1:5), piece = 1:3, condition = factor(c("dry", "fresh", "salt", "frozen", "dried", "used"),
                     levels = c("dry", "fresh", "salt", "frozen", "dried", "used")))
ropes$specimen <- paste(ropes$condition, ropes$piece)
ropes$day <- factor(ropes$piece)
ropes$trend <- as.numeric(ropes$fall) - 3
ropes$force <- round(8 + 0.25 * as.integer(ropes$fall) + 0.1 * as.integer(ropes$condition) +
  rep(rnorm(18, 0, 0.2), each = 5) + rep(rnorm(18, 0, 0.05), each = 5) * ropes$trend + rnorm(90, 0, 0.1), 3)

# Specimens whose slope goes with their intercept, until the estimate is one.
tied <- subset(ropes, condition %in% c("dry", "fresh", "salt"))
for (seed in 1:100) {
  set.seed(seed)
  b <- rnorm(9, 0, 0.2)
  tied$force <- round(8 + rep(b, each = 5) + rep(0.3 * b, each = 5) * (tied$trend + 3) + rnorm(45, 0, 0.1), 3)
  theta <- getME(suppressMessages(lme4::lmer(force ~ trend + (trend | specimen), tied)), "theta")
  if (theta[3] < 1e-4 && theta[1] > 0.5) break
}

both <- function(name, data, ...) list(case(name, data, ...), case(paste(name, "thinned"), thin(data), ...))
specimen <- list(list(name = "specimen", by = "specimen"))
cases <- c(
  both("Dyestuff", Dyestuff, Yield ~ 1 + (1 | Batch), "Yield", list(list(name = "Batch", by = "Batch"))),
  both("Dyestuff2", Dyestuff2, Yield ~ 1 + (1 | Batch), "Yield", list(list(name = "Batch", by = "Batch"))),
  both("Pastes", Pastes, strength ~ 1 + (1 | batch) + (1 | cask_in), "strength",
       list(list(name = "batch", by = "batch"), list(name = "cask_in", by = "cask_in"))),
  both("Penicillin", Penicillin, diameter ~ 1 + (1 | plate) + (1 | sample), "diameter",
       list(list(name = "plate", by = "plate"), list(name = "sample", by = "sample"))),
  both("sleepstudy correlated", sleepstudy, Reaction ~ Days + (Days | Subject), "Reaction",
       list(list(name = "Subject", by = "Subject", slope = "Days")), list(all = rows_of(1:2, 2))),
  both("sleepstudy independent", sleepstudy, Reaction ~ Days + (1 | Subject) + (0 + Days | Subject), "Reaction",
       list(list(name = "Subject", by = "Subject", slope = "Days", independent = TRUE)), list(all = rows_of(1:2, 2))),
  both("beets", beets, sugpct ~ block + sow + harvest + (1 | block:harvest), "sugpct",
       list(list(name = "block:harvest", by = c("block", "harvest"))),
       list(sow = rows_of(4:7, 8), harvest = rows_of(8, 8), block = rows_of(2:3, 8))),
  both("ropes", ropes, force ~ condition * fall + (1 | specimen), "force", specimen,
       list(interaction = rows_of(11:30, 30))),
  both("ropes crossed with days", ropes, force ~ condition * fall + (1 | specimen) + (1 | day), "force",
       c(specimen, list(list(name = "day", by = "day"))), list(interaction = rows_of(11:30, 30))),
  both("ropes with trends", ropes, force ~ condition * trend + (trend | specimen), "force",
       list(list(name = "specimen", by = "specimen", slope = "trend")), list(slopes = rows_of(8:12, 12))),
  list(case("tied", tied, force ~ trend + (trend | specimen), "force",
            list(list(name = "specimen", by = "specimen", slope = "trend")), list(all = rows_of(1:2, 2)))))

message("marginal")
# Means and contrasts to the baseline of the thinned ropes, by Kenward-Roger.
thinned <- thin(ropes)
m <- fit(force ~ condition * fall + (1 | specimen), thinned, TRUE)
grid <- ref_grid(m, data = thinned, lmer.df = "kenward-roger")
table_of <- function(e) { s <- as.data.frame(summary(e, infer = c(TRUE, TRUE), adjust = "none")); s[] <- lapply(s, function(v) if (is.factor(v)) as.character(v) else v); s }
terms3 <- as.data.frame(anova(lmerTest:::as_lmerModLT(m, update(m, devFunOnly = TRUE)), type = 3, ddf = "Kenward-Roger"))
terms3s <- as.data.frame(anova(lmerTest:::as_lmerModLT(m, update(m, devFunOnly = TRUE)), type = 3))
marginal <- list(
  y = thinned$force, condition = as.character(thinned$condition), fall = as.character(thinned$fall), specimen = thinned$specimen,
  means = table_of(emmeans(grid, ~ condition | fall)),
  by_fall = table_of(contrast(emmeans(grid, ~ condition | fall), "trt.vs.ctrl")),
  averaged = table_of(contrast(emmeans(grid, ~ condition), "trt.vs.ctrl")),
  terms_kr = data.frame(term = rownames(terms3), f = terms3[["F value"]], df1 = terms3$NumDF, df2 = terms3$DenDF, p = terms3[["Pr(>F)"]]),
  terms_satterthwaite = data.frame(term = rownames(terms3s), f = terms3s[["F value"]], df1 = terms3s$NumDF, df2 = terms3s$DenDF, p = terms3s[["Pr(>F)"]]))

# Unequal residual spread, by nlme.
o <- as.data.frame(Orthodont)
u <- lme(distance ~ age * Sex, random = ~ 1 | Subject, weights = varIdent(form = ~ 1 | Sex), data = o, method = "REML",
         control = lmeControl(tolerance = 1e-12, msTol = 1e-14, msMaxIter = 500, maxIter = 500, opt = "nlminb"))
uml <- update(u, method = "ML")
unequal_of <- function(u) list(deviance = -2 * as.numeric(logLik(u)), beta = unname(fixef(u)), se = unname(sqrt(diag(vcov(u)))),
                sigma = u$sigma, ratio = unname(coef(u$modelStruct$varStruct, unconstrained = FALSE)), variance = as.numeric(VarCorr(u)[1, 1]))
unequal <- list(y = o$distance, x = unname(model.matrix(~ age * Sex, o)), columns = colnames(model.matrix(~ age * Sex, o)), level = as.integer(factor(as.character(o$Subject))) - 1L,
                sex = as.character(o$Sex), reml = unequal_of(u), ml = unequal_of(uml))

# Multivariate t.
joint_case <- function(R, df, bound, two) {
  k <- nrow(R)
  p <- pmvt(lower = if (two) rep(-bound, k) else rep(-Inf, k), upper = rep(bound, k), corr = R, df = df, type = "shifted",
            algorithm = GenzBretz(maxpts = 3e5, abseps = 1e-5, releps = 0))
  list(correlation = R, df = df, bound = bound, two_sided = two, inside = as.numeric(p), error = attr(p, "error"))
}
dunnett_corr <- function(n0, n) { l <- sqrt(n / (n + n0)); R <- outer(l, l); diag(R) <- 1; R }
ar <- function(k, r) r^abs(outer(1:k, 1:k, "-"))
negative <- matrix(-0.3, 4, 4); diag(negative) <- 1
pairs4 <- { C <- rbind(c(1, -1, 0, 0), c(1, 0, -1, 0), c(1, 0, 0, -1), c(0, 1, -1, 0), c(0, 1, 0, -1), c(0, 0, 1, -1)); cov2cor(C %*% t(C)) }
set.seed(7)
joint <- list()
message("joint")
for (df in c(3, 12, 60, 0)) for (two in c(TRUE, FALSE)) for (bound in c(1.5, 2.8)) {
  joint <- c(joint, list(joint_case(dunnett_corr(3, rep(3, 3)), df, bound, two), joint_case(dunnett_corr(5, c(2, 3, 4, 5, 6)), df, bound, two),
                         joint_case(ar(5, 0.7), df, bound, two), joint_case(negative, df, bound, two), joint_case(pairs4, df, bound, two)))
}

versions <- c(R = as.character(getRversion()), sapply(c("lme4", "lmerTest", "pbkrtest", "emmeans", "mvtnorm", "numDeriv", "nlme"), function(p) as.character(packageVersion(p))))
cat(toJSON(list(made_with = as.list(versions), cases = cases, marginal = marginal, unequal = unequal, joint = joint),
           digits = I(16), auto_unbox = TRUE, matrix = "rowmajor", na = "null"), "\n")
