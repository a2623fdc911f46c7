# The chances that power_test.go checks, by other routes: R's own power of the
# t test, and an adaptive integral over the variance estimate instead of its
# logarithm. Run: Rscript power.R
cat(R.version.string, "\n")
t_power <- function(n, delta, sd) power.t.test(n = n, delta = delta, sd = sd, strict = FALSE)$power
for (a in list(c(3, 2, 1), c(3, 5, 1), c(7, 0.1, 0.06), c(60, 0.3, 1), c(2, 20, 1)))
  cat(sprintf("t n=%g delta=%g sd=%g %.12f\n", a[1], a[2], a[3], t_power(a[1], a[2], a[3])))
for (target in c(0.8, 0.9))
  cat(sprintf("t smallest %g: %.6f %.6f\n", target, power.t.test(power = target, delta = 0.1, sd = 0.06, strict = FALSE)$n,
              power.t.test(power = target, delta = 0.3, sd = 1, strict = FALSE)$n))

# Estimate ~ N(truth, v/n), s2 ~ (v/n) chi2(df)/df.
over <- function(df, given) {
  f <- function(x) dchisq(x, df) * vapply(sqrt(x / df), given, 0)
  cuts <- qchisq(c(1e-15, 0.001, 0.01, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99, 0.999, 1 - 1e-15), df)
  sum(mapply(function(a, b) integrate(f, a, b, rel.tol = 1e-12, subdivisions = 5000)$value, head(cuts, -1), tail(cuts, -1)))
}
alike <- function(lower, upper, truth, sigma, df, alpha) over(df, function(u) {
  h <- qt(1 - alpha, df) * sigma * u
  max(0, pnorm((upper - h - truth) / sigma) - pnorm((lower + h - truth) / sigma))
})
apart <- function(upper, truth, sigma, df, alpha) over(df, function(u)
  pnorm((truth - max(upper, qt(1 - alpha / 2, df) * sigma * u)) / sigma))
# lower, upper, truth, variance at one specimen, df per (n - 1), n, alpha
lo <- log(0.95); up <- log(1.05)
for (a in list(c(lo, up, 0, 2 * 0.03^2, 2, 7, 0.05), c(lo, up, 0.02, 2 * 0.03^2, 6, 5, 0.05), c(-200, 200, -50, 2 * 120^2, 2, 3, 0.05),
               c(lo, up, 0, 2 * 0.03^2, 2, 7, 0.05 / 3), c(-200, 200, 0, 2 * 150^2, 2, 2, 0.05))) {
  v <- as.list(a)
  cat(sprintf("alike %.12f\n", alike(v[[1]], v[[2]], v[[3]], sqrt(v[[4]] / v[[6]]), v[[5]] * (v[[6]] - 1), v[[7]])))
}
for (a in list(c(up, 0.09, 2 * 0.03^2, 2, 4, 0.05), c(up, up, 2 * 0.03^2, 6, 9, 0.05), c(200, 230, 2 * 120^2, 2, 12, 0.05), c(200, 400, 2 * 150^2, 2, 3, 0.025))) {
  v <- as.list(a)
  cat(sprintf("apart %.12f\n", apart(v[[1]], v[[2]], sqrt(v[[3]] / v[[5]]), v[[4]] * (v[[5]] - 1), v[[6]])))
}
