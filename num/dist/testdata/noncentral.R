# Noncentral t and F that noncentral_test.go checks. R's pt has some twelve
# digits up to a noncentrality of 37.62 and approximates beyond, so none is asked
# for there; its upper tail is one minus the lower. Run: Rscript noncentral.R > noncentral.csv
cat("# ", R.version.string, "\n", sep = "")
cat("what,x,d1,d2,ncp,below\n")
options(warn = -1)
for (df in c(1, 2, 3.5, 6, 12, 24, 60, 250, 5000))
  for (ncp in c(-3, 0, 0.2, 1, 2.5, 5, 10, 20, 37))
    for (p in c(0.001, 0.05, 0.3, 0.5, 0.8, 0.975, 0.9999)) {
      t <- signif(qt(p, df, ncp), 5)
      cat(sprintf("t,%.17g,,%g,%g,%.15g\n", t, df, ncp, pt(t, df, ncp)))
      if (df < 1000 && p >= 0.05 && p < 0.99 && is.finite(qt(p, df, ncp)))
        cat(sprintf("qt,%.15g,,%g,%g,%.17g\n", qt(p, df, ncp), df, ncp, p))
    }
for (d1 in c(1, 2, 5, 11, 40))
  for (d2 in c(2, 6, 12, 30, 90, 1000))
    for (ncp in c(0, 0.5, 3, 12, 40, 150))
      for (f in c(0.1, 0.7, 1.5, 3, 4.5, 9, 20))
        cat(sprintf("f,%g,%g,%g,%g,%.15g\n", f, d1, d2, ncp, pf(f, d1, d2, ncp)))
