# Seconds of R for what BenchmarkKenwardRoger90 and BenchmarkBootstrap1000 of
# num/lmm do: 90 readings, 6 conditions of 3 specimens, 5 falls. Run it, then
#
#   go test ./num/lmm -run '^$' -bench 90\|1000
suppressPackageStartupMessages({ library(lme4); library(pbkrtest); library(emmeans) })
set.seed(1)
d <- expand.grid(fall = factor(1:5), piece = 1:3, condition = factor(paste0("c", 0:5)))
d$specimen <- paste(d$condition, d$piece)
d$force <- 8000 + 250 * as.integer(d$fall) + rep(rnorm(18, 0, 200), each = 5) + rnorm(90, 0, 100)
emm_options(lmer.df = "kenward-roger")
contrasts_of <- function() {
  m <- lmer(force ~ condition * fall + (1 | specimen), d)
  summary(contrast(suppressMessages(emmeans(m, ~ condition | fall)), "trt.vs.ctrl", adjust = "none"))
}
invisible(contrasts_of())
cat("fit and Kenward-Roger contrasts, one:", system.time(for (i in 1:5) contrasts_of())[["elapsed"]] / 5, "s\n")
m <- lmer(force ~ condition * fall + (1 | specimen), d)
cat("bootMer, 1,000 draws:", system.time(suppressMessages(bootMer(m, fixef, nsim = 200)))[["elapsed"]] * 5, "s\n")
