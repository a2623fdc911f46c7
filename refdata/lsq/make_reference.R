# Profile likelihood intervals of three saturating curves a·g(x, b) by R, for
# num/lsq/profile_test.go.   Rscript refdata/lsq/make_reference.R
#
# Each is linear in a, so that the least sum of squares at a given b is a linear
# regression, and at a given a a search over b alone. The ends are roots of that
# sum less the limit S·(1 + t²/df); NA where S stays below it. No use is made of nls or its profiles.
cat(R.version.string, "\n")
curve <- function(name, x, y, g, range) {
  at_b <- function(b) { u <- g(x, b); a <- sum(u * y) / sum(u^2); sum((y - a * u)^2) }
  at_a <- function(a) optimize(function(lb) sum((y - a * g(x, exp(lb)))^2), log(range), tol = 1e-13)$objective
  b <- exp(optimize(function(lb) at_b(exp(lb)), log(range), tol = 1e-13)$minimum)
  u <- g(x, b); a <- sum(u * y) / sum(u^2); df <- length(x) - 2
  for (level in c(0.95, 0.8)) {
    limit <- at_b(b) * (1 + qt(0.5 + level / 2, df)^2 / df)
    root <- function(f, from, to) if ((f(from) - limit) * (f(to) - limit) > 0) NA else uniroot(function(v) f(v) - limit, c(from, to), tol = 1e-12)$root
    cat(sprintf("%-10s %.2f  a %.9g (%.9g to %.9g)  b %.9g (%.9g to %.9g)\n", name, level,
      a, root(at_a, a / 2, a), root(at_a, a, 50 * a), b, root(at_b, b / 100, b), root(at_b, b, b * 100)))
  }
}
treated <- subset(Puromycin, state == "treated")
first <- function(x, b) 1 - exp(-b * x)
curve("Puromycin", treated$conc, treated$rate, function(x, b) x / (b + x), c(1e-3, 1))
curve("BOD", BOD$Time, BOD$demand, first, c(1e-3, 3))
curve("BoxBOD", c(1, 2, 3, 5, 7, 10), c(109, 149, 149, 191, 213, 224), first, c(1e-3, 3))
print(t(treated[, 1:2])); print(t(BOD))
