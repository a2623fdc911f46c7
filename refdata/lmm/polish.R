# fit() fits a mixed model by lme4 to the last digit: lme4 stops when the deviance
# no longer falls, which leaves the variances right to some five digits. The
# search is carried on here, by Newton steps with numerical derivatives of lme4's
# own deviance function, and the model is rebuilt at the end of it.
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

fit <- function(formula, data, reml) {
  assign("reference_data", data, envir = globalenv())
  first <- lme4::lmer(formula, data = reference_data, REML = reml,
                      control = lmerControl(calc.derivs = FALSE, check.conv.singular = "ignore"))
  parts <- lFormula(formula, data = data, REML = reml)
  devfun <- do.call(mkLmerDevfun, parts)
  theta <- polish(devfun, getME(first, "theta"), environment(devfun)$lower)
  value <- devfun(theta)
  model <- mkMerMod(environment(devfun), list(par = theta, fval = value, feval = 1, conv = 0, message = NULL),
                    parts$reTrms, fr = parts$fr, mc = first@call)
  model@call <- call("lmer", formula = formula, data = quote(reference_data), REML = reml)
  model@call[[1]] <- quote(lme4::lmer)
  model
}
