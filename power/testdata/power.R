# Powers that reference_test.go checks, by R's own functions. Run: Rscript power.R
cat("# ", R.version.string, "\n", sep = "")
for (a in list(c(3, 2), c(4, 1.5), c(6, 1), c(7, 5/3), c(10, 1.2), c(15, 0.5), c(30, 0.7)))
  cat(sprintf("{%g, %.17g, %.12f},\n", a[1], a[2], power.t.test(n = a[1], delta = a[2], sd = 1, strict = TRUE)$power))
for (a in list(c(0.8, 1.5), c(0.9, 1.5), c(0.8, 1), c(0.9, 0.8)))
  cat(sprintf("{%g, %g, %.6f},\n", a[1], a[2], power.t.test(power = a[1], delta = a[2], sd = 1, strict = TRUE)$n))
for (a in list(list(3, c(0, 0, 2)), list(4, c(0, 0.5, 1, 1.5)), list(5, c(-1, 0, 1)), list(6, c(0, 0, 0, 0, 0, 1.5)), list(12, c(0, 0.4, 0.8))))
  cat(sprintf("{%g, []float64{%s}, %.12f},\n", a[[1]], paste(a[[2]], collapse = ", "),
              power.anova.test(groups = length(a[[2]]), n = a[[1]], between.var = var(a[[2]]), within.var = 1)$power))
