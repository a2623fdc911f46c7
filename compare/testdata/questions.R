# Contrasts of falls of one condition, of a condition at one fall with another at
# another, and of trends over levels of fall, by lme4, pbkrtest and emmeans:
# Rscript compare/testdata/questions.R prints what questionsof_test.go holds. The
# values are invented.
suppressMessages({library(lme4); library(pbkrtest); library(emmeans)})
emm_options(lmer.df = "kenward-roger")
d <- read.csv(text = "condition,specimen,fall,value
dry,D1,1,3.412
dry,D1,2,3.655
dry,D1,3,3.768
dry,D2,1,3.301
dry,D2,2,3.598
dry,D2,3,3.702
dry,D3,1,3.525
dry,D3,2,3.714
dry,D3,3,3.955
dry,D4,1,3.388
dry,D4,2,3.603
soaked,S1,1,3.604
soaked,S1,2,3.911
soaked,S1,3,4.203
soaked,S2,1,3.498
soaked,S2,2,3.935
soaked,S2,3,4.151
soaked,S3,1,3.702
soaked,S3,2,4.108
soaked,S3,3,4.297
soaked,S4,2,3.956
soaked,S4,3,4.120")
d$fall <- factor(d$fall)
for (scale in c("log", "linear")) {
  d$y <- if (scale == "log") log(d$value) else d$value
  fit <- lmer(y ~ condition * fall + (1 | specimen), d, REML = TRUE,
              control = lmerControl(optCtrl = list(ftol_abs = 1e-14, xtol_abs = 1e-12)))
  m <- emmeans(fit, ~ condition + fall) # dry1 soaked1 dry2 soaked2 dry3 soaked3
  k <- contrast(m, list(
    own = c(0, -1, 0, 0, 0, 1),           # soaked: fall 3 with its own fall 1
    across = c(-1, 0, 0, 0, 0, 1),        # soaked fall 3 with dry fall 1
    trend = c(0.5, -0.5, 0, 0, -0.5, 0.5) # per fall
  ))
  print(scale); k <- summary(k); print(with(k, rbind(estimate, SE, df, t.ratio, p.value)), digits = 10)
}
own <- with(d, tapply(log(value), list(specimen, fall), mean))[c("S1", "S2", "S3"), ]
r <- t.test(own[, 3] - own[, 1]); print(c(r$estimate, r$stderr, r$p.value), digits = 10)
