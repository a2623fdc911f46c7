# Prints core.json: comparisons by lme4, pbkrtest, lmerTest, emmeans and nlme, as
# package compare has to give them.
#
#   Rscript core.R > core.json
#
# lme4's search is carried on to its numerical end, as in ../lmm/make_reference.R.
# Joint p values are for real degrees of freedom, which emmeans cuts to whole
# ones: by mvtnorm at the two whole numbers beside, and between them in 1/df.
suppressPackageStartupMessages({
  library(lme4); library(lmerTest); library(pbkrtest); library(emmeans)
  library(mvtnorm); library(numDeriv); library(jsonlite); library(nlme)
})
emm_options(msg.interaction = FALSE, msg.nesting = FALSE)

polish <- function(devfun, theta, lower) {
  free <- !(lower == 0 & theta < 1e-4)
  theta[!free] <- 0
  if (!any(free)) return(theta)
  f <- function(x) { t <- theta; t[free] <- x; devfun(t) }
  x <- nlminb(theta[free], f, lower = lower[free], control = list(rel.tol = 1e-14, x.tol = 1e-12))$par
  for (i in 1:4) x <- x - solve(hessian(f, x), grad(f, x))
  theta[free] <- x
  theta
}

fit <- function(formula, data) {
  assign("reference_data", data, envir = globalenv())
  first <- lme4::lmer(formula, data = reference_data, REML = TRUE,
                      control = lmerControl(calc.derivs = FALSE, check.conv.singular = "ignore", check.rankX = "silent.drop.cols"))
  parts <- lFormula(formula, data = data, REML = TRUE, control = lmerControl(check.rankX = "silent.drop.cols"))
  devfun <- do.call(mkLmerDevfun, parts)
  theta <- polish(devfun, getME(first, "theta"), environment(devfun)$lower)
  value <- devfun(theta)
  model <- mkMerMod(environment(devfun), list(par = theta, fval = value, feval = 1, conv = 0, message = NULL),
                    parts$reTrms, fr = parts$fr, mc = first@call)
  model@call <- call("lmer", formula = formula, data = quote(reference_data), REML = TRUE,
                     control = quote(lmerControl(check.rankX = "silent.drop.cols")))
  model@call[[1]] <- quote(lme4::lmer)
  model
}

plain <- function(e, adjust = "none") {
  s <- as.data.frame(summary(e, infer = c(TRUE, TRUE), adjust = adjust))
  s[] <- lapply(s, function(v) if (is.factor(v)) as.character(v) else v)
  names(s)[names(s) %in% c("emmean", "estimate") | grepl("\\.trend$", names(s))] <- "estimate"
  names(s) <- sub("^SE$", "se", sub("\\.CL$", "", sub("t.ratio", "t", sub("p.value", "p", names(s), fixed = TRUE), fixed = TRUE)))
  if ("contrast" %in% names(s)) s$condition <- sub("^condition(?=[0-9])", "", gsub("[()]", "", sub(" - .*$", "", s$contrast)), perl = TRUE)
  s$contrast <- NULL
  s
}

# The joint two-sided p of each of a family.
joint <- function(e) {
  s <- as.data.frame(summary(e, adjust = "none"))
  R <- cov2cor(vcov(e)); k <- nrow(R); t <- abs(s$t.ratio); df <- s$df
  if (k == 1) return(s$p.value)
  sapply(seq_len(k), function(i) {
    at <- function(nu) { set.seed(1); 1 - as.numeric(pmvt(rep(-t[i], k), rep(t[i], k), df = nu, corr = R,
                         algorithm = GenzBretz(maxpts = if (k > 6) 6e4 else 3e5, abseps = if (k > 6) 1e-4 else 1e-5, releps = 0))) }
    low <- floor(df[i] + 1e-6)
    if (abs(df[i] - low) < 1e-6) return(at(low))
    w <- (1 / df[i] - 1 / low) / (1 / (low + 1) - 1 / low)
    (1 - w) * at(low) + w * at(low + 1)
  })
}

terms_of <- function(m, ddf) {
  a <- as.data.frame(anova(lmerTest:::as_lmerModLT(m, update(m, devFunOnly = TRUE)), type = 3, ddf = ddf))
  data.frame(term = rownames(a), f = a[["F value"]], df1 = a$NumDF, df2 = a$DenDF, p = a[["Pr(>F)"]])
}

# columns: data frame with value and, as far as the model has them, condition,
# fall, specimen, others; fixed as a formula's right side; random likewise.
case <- function(name, data, fixed, random = NULL, ask = list(), joint_too = FALSE, scale = "linear", tests = TRUE) {
  message(name)
  has_c <- grepl("condition", fixed); has_f <- grepl("fall", fixed); trend <- has_f && is.numeric(data$fall)
  data$y <- if (scale == "log") log(data$value) else data$value
  formula <- as.formula(paste("y ~", fixed, if (!is.null(random)) paste("+", random)))
  assign("reference_data", data, envir = globalenv())
  mixed <- !is.null(random)
  m <- if (mixed) fit(formula, data) else { m <- lm(formula, data = data); m$call$formula <- formula; m$call$data <- quote(reference_data); m }
  out <- list(name = name, scale = scale, ask = if (length(ask)) ask,
              data = as.list(lapply(data[setdiff(names(data), "y")], function(v) if (is.factor(v)) as.character(v) else v)))
  if (mixed) {
    vc <- as.data.frame(VarCorr(m))
    out$deviance <- as.numeric(-2 * logLik(m))
    out$residual_sd <- sigma(m)
    out$random <- unname(lapply(which(is.na(vc$var2) & vc$grp != "Residual"), function(i) list(group = vc$grp[i], term = vc$var1[i], sd = vc$sdcor[i])))
    out$correlations <- unname(lapply(which(!is.na(vc$var2)), function(i) list(group = vc$grp[i], correlation = vc$sdcor[i])))
  } else {
    out$deviance <- -2 * as.numeric(logLik(m, REML = TRUE)); out$residual_sd <- sigma(m)
    out$random <- list(); out$correlations <- list()
  }
  for (df in c("kenward-roger", "satterthwaite")) {
    g <- if (mixed) ref_grid(m, data = data, lmer.df = df, pbkrtest.limit = 1e4, lmerTest.limit = 1e4) else ref_grid(m, data = data)
    gf <- if (trend) (if (mixed) ref_grid(m, data = data, lmer.df = df, at = list(fall = sort(unique(data$fall)))) else ref_grid(m, data = data, at = list(fall = sort(unique(data$fall))))) else g
    factors <- c(if (has_c) "condition", if (has_f) "fall")
    r <- list()
    r$means <- plain(emmeans(gf, if (length(factors)) as.formula(paste("~", paste(factors, collapse = "*"))) else ~1))
    if (has_c) {
      by <- if (has_f) contrast(emmeans(gf, ~ condition * fall), "trt.vs.ctrl", by = "fall") else contrast(emmeans(gf, ~condition), "trt.vs.ctrl")
      over <- contrast(emmeans(g, ~condition), "trt.vs.ctrl")
      r$against <- plain(by); r$overall <- plain(over)
      have <- !is.na(r$against$p)
      r$against$holm <- NA; r$against$holm[have] <- p.adjust(r$against$p[have], "holm")
      ok <- !is.na(r$overall$p)
      r$overall$holm <- NA; r$overall$holm[ok] <- p.adjust(r$overall$p[ok], "holm")
      if (joint_too && df == "kenward-roger") {
        r$against$joint <- joint(update(by, by = NULL)); r$overall$joint <- joint(over)
        if (has_f) r$against$each_fall <- unlist(lapply(unique(r$against$fall), function(f) joint(by[which(r$against$fall == f)])))
      }
    }
    if (trend) {
      tr <- if (has_c) emtrends(m, ~condition, var = "fall", data = data, lmer.df = df) else emtrends(m, ~1, var = "fall", data = data, lmer.df = df)
      r$trends <- plain(tr)
      if (has_c) r$trends_against <- plain(contrast(tr, "trt.vs.ctrl"))
    }
    if (tests && (has_c || has_f)) r$terms <- if (mixed) terms_of(m, if (df == "kenward-roger") "Kenward-Roger" else "Satterthwaite") else {
      sum_coded <- lm(formula, data = data, contrasts = if (has_c) list(condition = "contr.sum"))
      a <- drop1(sum_coded, . ~ ., test = "F")[-1, ]
      data.frame(term = rownames(a), f = a[["F value"]], df1 = a$Df, df2 = df.residual(m), p = a[["Pr(>F)"]])
    }
    out[[sub("-", "_", df)]] <- r
    if (!mixed) { out$satterthwaite <- r; break }
  }
  out
}

thin <- function(d) d[seq_len(nrow(d)) %% 7 != 3, , drop = FALSE]
levels6 <- c("dry", "fresh", "salt", "frozen", "dried", "used")
# An invented drop test: 6 conditions, 3 specimens each, 5 falls, peak force in kN.
set.seed(20261125)
drops <- expand.grid(fall = factor(1:5), piece = 1:3, condition = factor(levels6, levels = levels6))
drops$specimen <- paste0(substr(as.character(drops$condition), 1, 2), "-", drops$piece)
drops$rope <- c("M1", "M2", "M3")[(drops$piece + as.integer(drops$condition)) %% 3 + 1]
drops$uptake <- round(rep(runif(18, 0, 30), each = 5), 1)
drops$value <- round(8 + 0.25 * as.integer(drops$fall) + c(0, 0.15, 0.6, 0.2, -0.3, 0.9)[as.integer(drops$condition)] +
  rep(rnorm(18, 0, 0.2), each = 5) + rep(rnorm(18, 0, 0.05), each = 5) * (as.integer(drops$fall) - 3) + rnorm(90, 0, 0.1), 3)
drops$piece <- NULL
short <- drops[-17, ]                                     # one row missing
gap <- drops[!(drops$condition == "salt" & drops$fall == "3"), ]  # a condition missing at one fall
numeric_fall <- function(d) { d$fall <- as.numeric(as.character(d$fall)); d }
one_fall <- subset(short, fall == "2"); one_fall$fall <- NULL

data(Dyestuff); data(Pastes); data(Penicillin); data(sleepstudy)
dye <- data.frame(value = Dyestuff$Yield, specimen = as.character(Dyestuff$Batch))
paste_ <- data.frame(value = Pastes$strength, batch = as.character(Pastes$batch), cask = as.character(Pastes$cask))
pen <- data.frame(value = Penicillin$diameter, specimen = as.character(Penicillin$plate), sample = as.character(Penicillin$sample))
sleep <- data.frame(value = sleepstudy$Reaction, fall = sleepstudy$Days, specimen = as.character(sleepstudy$Subject))
sleep_levels <- sleep; sleep_levels$fall <- factor(sleep$fall)
dunnett <- data.frame(value = c(55, 47, 48, 55, 64, 64, 55, 49, 52, 50, 44, 41), condition = factor(rep(c("standard", "p1", "p2", "p3"), each = 3), levels = c("standard", "p1", "p2", "p3")))
cotton <- data.frame(value = c(7, 10, 11, 15, 11, 7, 7, 15, 11, 9, 12, 17, 12, 18, 18, 14, 18, 18, 19, 19, 19, 25, 22, 19, 23),
                     condition = factor(rep(c("35", "15", "20", "25", "30"), each = 5), levels = c("35", "15", "20", "25", "30")))

S <- "(1 | specimen)"
cases <- list(
  case("drops", drops, "condition * fall", S, joint_too = TRUE),
  case("drops, one row short", short, "condition * fall", S),
  case("drops, log", short, "condition * fall", S, scale = "log"),
  case("drops, trend", numeric_fall(short), "condition * fall", S, list(falls_as = "trend")),
  case("drops, trend per specimen", numeric_fall(short), "condition * fall", "(1 + fall | specimen)", list(falls_as = "trend-per-specimen")),
  case("drops, log trend", numeric_fall(short), "condition * fall", S, list(falls_as = "trend"), scale = "log"),
  case("drops, ropes", short, "condition * fall", "(1 | specimen) + (1 | rope)", list(blocks = I("rope"))),
  case("drops, uptake", short, "condition * fall + uptake", S, list(covariates = I("uptake"))),
  case("drops, thinned", thin(short), "condition * fall", S),
  case("drops, a condition missing at a fall", gap, "condition * fall", S, tests = FALSE),
  case("drops, one fall, no specimens", subset(one_fall, TRUE, c(value, condition)), "condition", NULL, joint_too = TRUE),
  case("drops, falls only", subset(short, TRUE, c(value, fall, specimen)), "fall", S),
  case("sleepstudy", sleep, "fall", "(1 + fall | specimen)", list(falls_as = "trend-per-specimen")),
  case("sleepstudy, thinned", thin(sleep), "fall", "(1 + fall | specimen)", list(falls_as = "trend-per-specimen")),
  case("sleepstudy, one slope", thin(sleep), "fall", S, list(falls_as = "trend")),
  case("sleepstudy, levels", thin(sleep_levels), "fall", S),
  case("Dyestuff", dye, "1", S), case("Dyestuff, thinned", thin(dye), "1", S),
  case("Pastes", paste_, "1", "(1 | batch) + (1 | batch:cask)", list(blocks = I(c("batch", "batch:cask")))),
  case("Pastes, thinned", thin(paste_), "1", "(1 | batch) + (1 | batch:cask)", list(blocks = I(c("batch", "batch:cask")))),
  case("Penicillin", pen, "1", "(1 | specimen) + (1 | sample)", list(blocks = I("sample"))),
  case("Penicillin, thinned", thin(pen), "1", "(1 | specimen) + (1 | sample)", list(blocks = I("sample"))),
  case("Dunnett 1955", dunnett, "condition", NULL, joint_too = TRUE),
  case("cotton", cotton, "condition", NULL, joint_too = TRUE))

# Residual spread by condition, by nlme: estimates, deviance, and standard errors
# with the variances taken as known.
message("spread")
assign("reference_data", drops, envir = globalenv())
u <- lme(value ~ condition * fall, random = ~ 1 | specimen, weights = varIdent(form = ~ 1 | condition), data = reference_data, method = "REML",
         control = lmeControl(tolerance = 1e-12, msTol = 1e-14, msMaxIter = 500, maxIter = 500, opt = "nlminb"))
ratio <- c(dry = 1, coef(u$modelStruct$varStruct, unconstrained = FALSE))
w <- gls(value ~ condition, data = cotton, weights = varIdent(form = ~ 1 | condition), control = glsControl(tolerance = 1e-12, msTol = 1e-14))
wr <- c("35" = 1, coef(w$modelStruct$varStruct, unconstrained = FALSE))
spread <- list(
  drops = list(deviance = -2 * as.numeric(logLik(u)), specimen = sqrt(as.numeric(VarCorr(u)[1, 1])), sd = as.list(ratio * u$sigma),
               overall = plain(contrast(emmeans(u, ~condition, mode = "containment"), "trt.vs.ctrl"))),
  cotton = list(deviance = -2 * as.numeric(logLik(w)), sd = as.list(wr * w$sigma),
                welch = lapply(levels(cotton$condition)[-1], function(l) {
                  t <- t.test(value ~ condition, data = droplevels(subset(cotton, condition %in% c("35", l))))
                  list(condition = l, se = t$stderr, df = unname(t$parameter), p = t$p.value) })))

versions <- c(R = as.character(getRversion()), sapply(c("lme4", "lmerTest", "pbkrtest", "emmeans", "mvtnorm", "nlme"), function(p) as.character(packageVersion(p))))
cat(toJSON(list(made_with = as.list(versions), cases = cases, spread = spread), digits = I(15), auto_unbox = TRUE, na = "null", null = "null"), "\n")
