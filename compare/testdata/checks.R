# Values for the tests of the checks: R 4.2.2 (base, nlme 3.1-162, lme4 1.1-31,
# pbkrtest 0.5.2). Rscript checks.R prints them.
suppressMessages({library(lme4); library(pbkrtest); library(nlme)})
options(digits = 12)

# Bartlett's test; InsectSprays are counts of insects in six treatments.
print(bartlett.test(count ~ spray, InsectSprays))
cat(InsectSprays$count, sep = ","); cat("\n")

# Likelihood ratios by REML.
wide <- lmer(Reaction ~ Days + (Days | Subject), sleepstudy)
narrow <- lmer(Reaction ~ Days + (1 | Subject), sleepstudy)
x <- REMLcrit(narrow) - REMLcrit(wide)
cat("own trends:", x, (pchisq(x, 1, lower = FALSE) + pchisq(x, 2, lower = FALSE)) / 2, "\n")
one <- lme(distance ~ Sex * factor(age), Orthodont, random = ~ 1 | Subject)
two <- update(one, weights = varIdent(form = ~ 1 | Sex))
cat("spread by sex:", 2 * (logLik(two) - logLik(one)), two$sigma * c(1, coef(two$modelStruct$varStruct, unconstrained = FALSE)), "\n")

# One more column in the model of an invented drop test: 4 conditions of 4
# specimens with 3 falls, number i from 0 in the order of the table.
i <- 0:47
d <- data.frame(condition = factor(i %/% 12), specimen = factor(i %/% 3), fall = factor(i %% 3),
  day = factor(1 + (i %/% 3) %% 2), operator = factor(c("A", "B", "C")[1 + (7 * i) %/% 5 %% 3]),
  order = (17 * i) %% 48)
d$y <- 4000 + 150 * (i %/% 12) + 250 * (i %% 3) + 120 * sin(7 * (i %/% 3)) + 60 * sin(13 * i + 1)
base <- lmer(y ~ condition * fall + (1 | specimen), d)
for (more in c("day", "operator", "order")) {
  full <- update(base, as.formula(paste(". ~ . +", more)))
  print(KRmodcomp(full, base)$test["Ftest", ])
}
gaps <- d; gaps$order[c(4, 20)] <- NA; gaps <- na.omit(gaps)
print(KRmodcomp(lmer(y ~ condition * fall + order + (1 | specimen), gaps), lmer(y ~ condition * fall + (1 | specimen), gaps))$test["Ftest", ])
s <- residuals(base) / (sigma(base) * sqrt(1 - hatvalues(base)))
cat("standardised:", s[c(1, 2, 24, 48)], "\n")
