# Values of R for num/nlmm and uptake: nonlinear mixed models by nlme and curves by
# nls.   Rscript refdata/uptake/make_reference.R > refdata/uptake/reference.json
# Loblolly (heights of pines) and BOD are the data of R's package datasets; the soak is
# our own, invented. Parameters are logarithms, as fallwright has them.
suppressMessages(library(nlme))
num <- function(v) paste(sprintf("%.10g", v), collapse = ", ")
row <- function(name, v) sprintf('"%s": [%s]', name, num(v))
soak <- data.frame(
  specimen = rep(c("A", "B", "C", "D", "E"), each = 8), minutes = rep(c(1, 2, 4, 8, 15, 30, 60, 120), 5),
  uptake = c(4.9, 8.5, 15.0, 23.1, 30.3, 36.2, 38.8, 40.3, 4.1, 8.6, 14.0, 22.8, 31.2, 38.6, 42.1, 42.9,
             5.6, 9.6, 16.8, 26.1, 33.3, 38.4, 40.1, 41.0, 4.2, 7.3, 13.1, 20.4, 27.6, 34.1, 37.2, 38.0,
             5.4, 9.9, 16.1, 25.9, 35.1, 41.2, 43.4, 44.6))
mixed <- function(name, data, group, model, start, random, method, form, tol = 1e-8) {
  f <- NULL
  while (is.null(f)) { f <- tryCatch(nlme(model, data = data, fixed = form$fixed, random = form$random, groups = as.formula(paste("~", group)), start = start,
            method = method, control = nlmeControl(maxIter = 500, msMaxIter = 500, tolerance = tol, pnlsTol = 1e-7, minScale = 1e-10, pnlsMaxIter = 50, msTol = 1e-10)), error = function(e) { message(name, " ", method, " ", tol, " ", conditionMessage(e)); NULL }); tol <- tol * 10 }
  v <- as.matrix(f$varFix) # of the estimates, without the correction that summary makes
  sprintf('{"name": "%s", "method": "%s", "diagonal": %s, "beta": [%s], "covariance": [%s], "sigma": %.10g, "omega": [%s], "loglik": %.10g}',
    name, method, random, num(fixef(f)), num(v), f$sigma, num(f$sigma^2 * as.matrix(f$modelStruct$reStruct[[1]])), as.numeric(logLik(f)))
}
first <- uptake ~ exp(lw) * (1 - exp(-minutes / exp(lt)))
weib <- uptake ~ exp(lw) * (1 - exp(-(minutes / exp(lt))^exp(lb)))
two <- function(extra = NULL, kind = pdDiag) list(fixed = if (is.null(extra)) lw + lt ~ 1 else lw + lt + lb ~ 1, random = kind(lw + lt ~ 1))
out <- c()
# nlme's own REML takes the random effects' covariance over sigma^2 from ML and only
# rescales it, so REML is made by the alternation itself with lme for the linear
# model: w = X beta + Z b at the last estimates.
restricted <- function(name, data, group, f, start, diagonal) {
  p <- length(start); data$g <- data[[group]]; data <- data[order(data$g), ]
  beta <- start; b <- matrix(0, nlevels(factor(data$g)), 2); id <- as.integer(factor(data$g))
  for (step in 1:60) {
    phi <- matrix(beta, nrow(data), p, byrow = TRUE); phi[, 1:2] <- phi[, 1:2] + b[id, ]
    v <- f(phi, data); X <- attr(v, "gradient")
    d <- data.frame(w = as.numeric(data$y - v + rowSums(X * phi)), g = factor(data$g), X1 = X[, 1], X2 = X[, 2], X3 = if (p > 2) X[, 3] else 0)
    m <- lme(if (p > 2) w ~ 0 + X1 + X2 + X3 else w ~ 0 + X1 + X2, random = list(g = if (diagonal) pdDiag(~ 0 + X1 + X2) else pdSymm(~ 0 + X1 + X2)), data = d,
      control = lmeControl(maxIter = 500, msMaxIter = 500, tolerance = 1e-12, msTol = 1e-14, opt = "nlminb"))
    beta <- as.numeric(fixef(m)); b <- as.matrix(ranef(m))
  }
  sprintf('{"name": "%s", "method": "REML", "diagonal": %s, "beta": [%s], "covariance": [%s], "sigma": %.10g, "omega": [%s], "loglik": %.10g}',
    name, if (diagonal) "true" else "false", num(beta), num(as.matrix(m$varFix)), m$sigma, num(m$sigma^2 * as.matrix(m$modelStruct$reStruct[[1]])), as.numeric(logLik(m)))
}
g1 <- function(phi, d) { w <- exp(phi[, 1]); u <- d$t / exp(phi[, 2]); e <- exp(-u); structure(w * (1 - e), gradient = cbind(w * (1 - e), -w * e * u)) }
g3 <- function(phi, d) { w <- exp(phi[, 1]); b <- exp(phi[, 3]); r <- d$t / exp(phi[, 2]); u <- r^b; e <- exp(-u)
  structure(w * (1 - e), gradient = cbind(w * (1 - e), -w * e * u * b, w * e * u * log(r) * b)) }
soak$y <- soak$uptake; soak$t <- soak$minutes
pines <- data.frame(y = Loblolly$height, t = Loblolly$age, Seed = as.character(Loblolly$Seed))
lob <- y ~ exp(lw) * (1 - exp(-(t / exp(lt))^exp(lb)))
out <- c(
  mixed("loblolly", pines, "Seed", lob, c(lw = log(80), lt = log(20), lb = 0.1), "true", "ML", two("lb")),
  mixed("soak first order", soak, "specimen", first, c(lw = log(40), lt = log(10)), "true", "ML", two()),
  mixed("soak first order", soak, "specimen", first, c(lw = log(40), lt = log(10)), "false", "ML", two(kind = pdSymm)),
  mixed("soak weibull", soak, "specimen", weib, c(lw = log(40), lt = log(10), lb = 0), "true", "ML", two("lb")),
  restricted("loblolly", pines, "Seed", g3, c(log(80), log(20), 0.1), TRUE),
  restricted("soak first order", soak, "specimen", g1, c(log(40), log(10)), TRUE),
  restricted("soak first order", soak, "specimen", g1, c(log(40), log(10)), FALSE),
  restricted("soak weibull", soak, "specimen", g3, c(log(40), log(10), 0), TRUE))
curve <- function(name, f) {
  s <- summary(f)
  sprintf('{"name": "%s", "p": [%s], "se": [%s], "rss": %.10g}', name, num(s$coefficients[, 1]), num(s$coefficients[, 2]), deviance(f))
}
tight <- nls.control(tol = 1e-8, maxiter = 5000, minFactor = 1e-12, scaleOffset = 0)
all <- soak
curves <- c(
  curve("BOD first order", nls(demand ~ w * (1 - exp(-Time / t)), BOD, start = list(w = 20, t = 2), control = tight)),
  curve("soak peleg", nls(uptake ~ w * minutes / (t + minutes), all, start = list(w = 45, t = 8), control = tight)),
  curve("soak weibull", nls(uptake ~ w * (1 - exp(-(minutes / t)^b)), all, start = list(w = 41, t = 10, b = 1), control = tight)),
  curve("soak two pockets", nls(uptake ~ w * (s * (1 - exp(-minutes / t)) + (1 - s) * (1 - exp(-minutes / (t * r)))), subset(all, specimen %in% c("B", "D")),
    start = list(w = 41, t = 8, s = 0.85, r = 3), algorithm = "port", control = nls.control(maxiter = 1000, tol = 1e-10))),
  curve("soak square root", nls(uptake ~ a + s * sqrt(minutes), subset(all, minutes <= 15), start = list(a = 0, s = 7), control = tight)))
cat('{"made_with": {"R": "', R.version$major, ".", R.version$minor, '", "nlme": "', as.character(packageVersion("nlme")), '"},\n', sep = "")
cat('"loblolly": {"height": [', num(Loblolly$height), '], "age": [', num(Loblolly$age), '], "seed": [', num(as.numeric(as.character(Loblolly$Seed))), "]},\n", sep = "")
cat('"bod": {"time": [', num(BOD$Time), '], "demand": [', num(BOD$demand), "]},\n", sep = "")
cat('"soak": {"minutes": [', num(soak$minutes), '], "uptake": [', num(soak$uptake), '], "specimen": [', paste0('"', soak$specimen, '"', collapse = ", "), "]},\n", sep = "")
cat('"mixed": [\n', paste(out, collapse = ",\n"), "\n],\n", sep = "")
cat('"curves": [\n', paste(curves, collapse = ",\n"), "\n]}\n", sep = "")
