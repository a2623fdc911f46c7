# Seconds of R for 90 readings of 6 conditions, 3 specimens and 5 falls, from the
# CSV that is named: a fit with its 25 Kenward-Roger contrasts to the baseline, and
# 1,000 bootstrap refits on one core. bench/compare_r.sh runs it beside
# TestBesideR of package compare, on the same table.
#
#   Rscript refdata/lmm/speed.R readings.csv
suppressPackageStartupMessages({ library(lme4); library(pbkrtest); library(emmeans) })
d <- read.csv(commandArgs(TRUE)[1])
d$fall <- factor(d$fall); d$condition <- factor(d$condition)
emm_options(lmer.df = "kenward-roger")
contrasts_of <- function() {
  m <- lmer(peak ~ condition * fall + (1 | specimen), d)
  as.data.frame(summary(contrast(suppressMessages(emmeans(m, ~ condition | fall)), "trt.vs.ctrl", adjust = "none")))
}
s <- contrasts_of()
cat(sprintf("contrasts: %d, of which the last %.6f, SE %.6f, df %.4f\n", nrow(s), s$estimate[25], s$SE[25], s$df[25]))
took <- system.time(for (i in 1:5) contrasts_of())
cat(sprintf("fit and Kenward-Roger contrasts: %.4f s, processor %.4f s\n", took[["elapsed"]] / 5, (took[["user.self"]] + took[["sys.self"]]) / 5))
m <- lmer(peak ~ condition * fall + (1 | specimen), d)
set.seed(1)
took <- system.time(b <- suppressMessages(bootMer(m, fixef, nsim = 1000, parallel = "no")))
cat(sprintf("1000 refits: %.3f s, processor %.3f s; SD of the first coefficient %.4f\n", took[["elapsed"]], took[["user.self"]] + took[["sys.self"]], sd(b$t[, 1])))
