# Writes reference.json and the tables that it is of, as CSV: what lme4, pbkrtest,
# lmerTest and emmeans make of sleepstudy, Dyestuff, Pastes and Penicillin, whole
# and without every seventh row, through the questions that `fallwright compare`
# is asked.
#
#   cd refdata/compare && Rscript make_reference.R
#
# Joint probabilities are of the multivariate t with the degrees of freedom as
# they are, which mvtnorm takes whole numbers of only: up to five comparisons the
# normal probability (Miwa's, without chance) is integrated here over the scale.
# multcomp's own are stored beside where degrees of freedom are whole.
suppressPackageStartupMessages({
  library(lme4); library(lmerTest); library(pbkrtest); library(emmeans); library(multcomp)
  library(mvtnorm); library(numDeriv); library(jsonlite)
})
source("../lmm/polish.R")
emm_options(lmerTest.limit = 1e5, pbkrtest.limit = 1e5)

data(Dyestuff); data(Pastes); data(Penicillin); data(sleepstudy)
# A division of the subjects that means nothing: each third of them, in turn.
sleepstudy$group <- factor(c("A", "B", "C")[(as.integer(sleepstudy$Subject) - 1) %% 3 + 1])
sleepstudy$Day <- factor(sleepstudy$Days)
Pastes$casks <- interaction(Pastes$batch, Pastes$cask, drop = TRUE)
thin <- function(d) droplevels(d[seq_len(nrow(d)) %% 7 != 3, , drop = FALSE])

plain <- function(d) { d[] <- lapply(d, function(v) if (is.factor(v)) as.character(v) else v); d }
inside <- function(t, df, R) {
  k <- nrow(R)
  if (k > 5) { # in chance, to 1e-5, at the whole numbers next to df; a parabola in 1/df between them
    whole <- if (abs(df - round(df)) < 1e-6) round(df) else max(1, round(df) - 1) + 0:2
    p <- sapply(whole, function(n) { set.seed(1); as.numeric(pmvt(rep(-abs(t), k), rep(abs(t), k), corr = R, df = n, algorithm = GenzBretz(maxpts = 3e5, abseps = 1e-5, releps = 0))) })
    x <- 1 / whole; at <- 1 / df
    return(sum(sapply(seq_along(whole), function(i) p[i] * prod((at - x[-i]) / (x[i] - x[-i])))))
  }
  within <- function(s) as.numeric(pmvnorm(rep(-s * abs(t), k), rep(s * abs(t), k), corr = R, algorithm = Miwa(steps = 64)))
  density <- function(s) exp(log(2) + df / 2 * log(df / 2) - lgamma(df / 2) + (df - 1) * log(s) - df * s^2 / 2)
  ends <- sqrt(qchisq(c(1e-11, 1 - 1e-11), df) / df)
  s <- seq(ends[1], ends[2], length.out = 61) # Simpson's rule: the integrand is smooth and ends in nothing
  sum(c(1, rep(c(4, 2), 29), 4, 1) * sapply(s, within) * density(s)) * (s[2] - s[1]) / 3
}
joint <- function(e) {
  s <- as.data.frame(summary(e, infer = c(FALSE, TRUE), adjust = "none"))
  if (nrow(s) < 2) return(I(s$p.value))
  R <- cov2cor(vcov(e))
  some <- if (nrow(s) > 5) c(1, nrow(s) %/% 2, nrow(s)) else seq_len(nrow(s)) # of many, three
  I(sapply(seq_len(nrow(s)), function(i) if (i %in% some) 1 - inside(s$t.ratio[i], s$df[i], R) else NA))
}
single_step <- function(e) { # multcomp's, of a linear function with one whole df
  df <- as.data.frame(e)$df
  if (length(df) < 2 || length(df) > 5 || max(abs(df - round(df[1]))) > 1e-6) return(NULL)
  g <- glht(parm(as.data.frame(e)$estimate, vcov(e), df = round(df[1])))
  I(as.numeric(summary(g, test = adjusted("single-step", abseps = 1e-7, maxpts = 2e6))$test$pvalues))
}

# against takes each condition against the first, at each fall (by) or over them.
against <- function(grid, by = NULL) {
  e <- contrast(grid, "trt.vs.ctrl", by = by)
  together <- if (is.null(by)) e else update(e, by = NULL)
  list(rows = plain(as.data.frame(summary(e, infer = c(TRUE, TRUE), adjust = "none"))), joint = joint(together), multcomp = single_step(together))
}

inferred <- function(m, df, condition, fall, trend, days, data) {
  mode <- if (is(m, "lmerMod")) list(lmer.df = df) else list()
  marginal <- function(specs, ...) suppressMessages(do.call(emmeans, c(list(m, specs, data = data), mode, list(...))))
  at <- if (trend) list(at = setNames(list(days), fall)) else list()
  out <- list()
  specs <- c(condition, fall)
  cells <- do.call(marginal, c(list(if (length(specs)) specs else ~1), at))
  out$means <- plain(as.data.frame(summary(cells, infer = c(TRUE, FALSE))))
  if (!is.null(condition)) {
    if (!is.null(fall)) out$against <- against(cells, by = fall)
    out$overall <- against(marginal(condition)) # a trend at the mean of its column, as emmeans has it
  }
  if (trend) {
    slopes <- suppressMessages(do.call(emtrends, c(list(m, if (is.null(condition)) ~1 else condition, var = fall, data = data), mode)))
    t <- as.data.frame(summary(slopes, infer = c(TRUE, FALSE)))
    names(t)[names(t) == paste0(fall, ".trend")] <- "slope"
    out$trends <- plain(t)
    if (!is.null(condition)) out$trends_against <- against(slopes)
  }
  out
}

terms_of <- function(m, ddf) {
  if (!is(m, "lmerMod")) {
    a <- as.data.frame(anova(m)); a <- a[rownames(a) != "Residuals", ]
    if (!nrow(a)) return(NULL)
    return(data.frame(term = rownames(a), f = a[["F value"]], df1 = a$Df, df2 = m$df.residual, p = a[["Pr(>F)"]]))
  }
  if (length(fixef(m)) < 2) return(NULL)
  a <- as.data.frame(anova(lmerTest:::as_lmerModLT(m, update(m, devFunOnly = TRUE)), type = 3, ddf = ddf))
  data.frame(term = rownames(a), f = a[["F value"]], df1 = a$NumDF, df2 = a$DenDF, p = a[["Pr(>F)"]])
}

case <- function(name, table, data, formula, arguments, condition = NULL, fall = NULL, trend = FALSE) {
  message(name)
  days <- if (trend) sort(unique(data[[fall]]))
  options(contrasts = c("contr.sum", "contr.poly")) # type III
  mixed <- length(findbars(formula)) > 0
  m <- if (mixed) fit(formula, data, TRUE) else { assign("reference_data", data, envir = globalenv()); lm(formula, reference_data) }
  components <- if (mixed) {
    v <- as.data.frame(VarCorr(m)); v <- v[v$grp != "Residual", ]
    unname(lapply(seq_len(nrow(v)), function(i) list(group = v$grp[i], a = v$var1[i], b = v$var2[i], value = v$sdcor[i])))
  } else list()
  # The restricted likelihood depends on the coding of X: brought to R's usual one.
  usual <- lapply(Filter(is.factor, data[all.vars(nobars(formula))[-1]]), function(v) "contr.treatment")
  size <- function(x) as.numeric(determinant(crossprod(x))$modulus)
  coding <- size(model.matrix(nobars(formula), data, contrasts.arg = usual)) - size(model.matrix(nobars(formula), data))
  sdev <- coding + if (mixed) as.numeric(-2 * logLik(m)) else -2 * as.numeric(logLik(m, REML = TRUE))
  list(name = name, table = table, arguments = I(arguments), deviance = sdev, residual_sd = sigma(m), components = components,
       kenward_roger = c(inferred(m, "kenward-roger", condition, fall, trend, days, data), list(terms = terms_of(m, "Kenward-Roger"))),
       satterthwaite = c(inferred(m, "satterthwaite", condition, fall, trend, days, data), list(terms = terms_of(m, "Satterthwaite"))))
}

cases <- list()
for (thinned in c(FALSE, TRUE)) {
  cut <- if (thinned) thin else identity
  of <- function(n) paste0(n, if (thinned) "-thinned", ".csv")
  keep <- function(d, n, columns) { write.csv(d[columns], of(n), row.names = FALSE, quote = FALSE, eol = "\n"); d }
  dyes <- keep(cut(Dyestuff), "dyestuff", c("Batch", "Yield"))
  pastes <- keep(cut(Pastes), "pastes", c("batch", "cask", "strength"))
  moulds <- keep(cut(Penicillin), "penicillin", c("plate", "sample", "diameter"))
  sleep <- keep(cut(sleepstudy), "sleepstudy", c("Subject", "group", "Days", "Reaction"))
  add <- function(...) cases <<- c(cases, list(case(...)))
  add("batches of dye", of("dyestuff"), dyes, Yield ~ 1 + (1 | Batch), c("--value", "Yield", "--specimen", "Batch"))
  add("dyes compared", of("dyestuff"), dyes, Yield ~ Batch, c("--value", "Yield", "--condition", "Batch"), condition = "Batch")
  add("casks in batches", of("pastes"), pastes, strength ~ 1 + (1 | batch) + (1 | casks), c("--value", "strength", "--block", "batch", "--block", "batch:cask"))
  add("casks compared", of("pastes"), pastes, strength ~ cask + (1 | batch), c("--value", "strength", "--condition", "cask", "--block", "batch"), condition = "cask")
  add("plates crossed with samples", of("penicillin"), moulds, diameter ~ 1 + (1 | plate) + (1 | sample), c("--value", "diameter", "--block", "plate", "--block", "sample"))
  add("samples compared", of("penicillin"), moulds, diameter ~ sample + (1 | plate), c("--value", "diameter", "--condition", "sample", "--block", "plate"), condition = "sample")
  asleep <- c("--value", "Reaction", "--specimen", "Subject", "--fall", "Days")
  add("a trend of each subject", of("sleepstudy"), sleep, Reaction ~ Days + (Days | Subject), c(asleep, "--falls-as", "trend-per-specimen"), fall = "Days", trend = TRUE)
  grouped <- c(asleep, "--condition", "group")
  add("groups with trends of subjects", of("sleepstudy"), sleep, Reaction ~ group * Days + (Days | Subject), c(grouped, "--falls-as", "trend-per-specimen"), "group", "Days", TRUE)
  add("groups with trends", of("sleepstudy"), sleep, Reaction ~ group * Days + (1 | Subject), c(grouped, "--falls-as", "trend"), "group", "Days", TRUE)
  add("groups at days", of("sleepstudy"), sleep, Reaction ~ group * Day + (1 | Subject), grouped, "group", "Day")
}
versions <- c(R = as.character(getRversion()), sapply(c("lme4", "lmerTest", "pbkrtest", "emmeans", "multcomp", "mvtnorm", "numDeriv"), function(p) as.character(packageVersion(p))))
writeLines(toJSON(list(made_with = as.list(versions), cases = cases), digits = I(16), auto_unbox = TRUE, na = "null", null = "null"), "reference.json")
