# Lays our figures beside R's own, on random inputs of a printed seed and on data sets that R brings.
#
#   Rscript compare.R GROUP FIGURES SEED     GROUP: r (base R) or nlme; FIGURES: the program wrackline_figures
#
# Prints `ok NAME: ...` or `not ok NAME: ...` for each function, with how many values were compared, the greatest
# relative difference and what is allowed. Ends with 3 when one is over.
arguments <- commandArgs(trailingOnly = TRUE)
group <- arguments[1]
program <- arguments[2]
seed <- as.integer(as.numeric(arguments[3]) %% .Machine$integer.max)
failed <- FALSE

# Two programs that do the same sums in another order differ by this much, not by more.
rounding <- 1e-10

# `questions`: a list of list(name, numbers...). The answers as vectors, NA for what cannot be said.
ask <- function(questions) {
  line_for <- function(q) paste(c(q[[1]], sprintf("%.17g", as.numeric(unlist(q[-1])))), collapse = " ")
  lines <- vapply(questions, line_for, "")
  answers <- system2(program, input = lines, stdout = TRUE)
  stopifnot(length(answers) == length(questions))
  wrong <- grep("^error", answers)
  if (length(wrong) > 0) stop(lines[wrong[1]], ": ", answers[wrong[1]])
  lapply(strsplit(answers, " "), function(words) ifelse(words == "-", NA, suppressWarnings(as.numeric(words))))
}

# Differences are per R's figure, or per `least` where that is nearer to 0 than it.
check <- function(name, ours, theirs, allowed = rounding, least = 0) {
  ours <- unname(unlist(ours))
  theirs <- unname(unlist(theirs))
  stopifnot(length(ours) == length(theirs))
  differences <- ifelse(is.na(ours) & is.na(theirs) | !is.na(ours) & !is.na(theirs) & ours == theirs, 0,
                        abs(ours - theirs) / pmax(abs(theirs), least))
  differences[is.na(differences)] <- Inf
  good <- length(ours) > 0 && max(differences) <= allowed
  if (!good) failed <<- TRUE
  at <- which.max(differences)
  cat(sprintf("%s %s: %s: %d values, greatest relative difference %.2g, allowed %g%s\n",
              if (good) "ok" else "not ok", group, name, length(ours), max(differences), allowed,
              if (good) "" else sprintf("; ours %.17g, theirs %.17g", ours[at], theirs[at])))
}

pairs_of <- function(x, y) as.vector(rbind(x, y))
line_of <- function(x, y) {
  fit <- summary(lm(y ~ x))
  c(fit$coefficients[2, 1], fit$coefficients[1, 1], sum(fit$residuals^2), fit$coefficients[2, 2],
    fit$coefficients[1, 2], fit$r.squared)
}
# Without an exact p, and with the continuity correction; the figures in the order of ours: S is not printed by R.
kendall_of <- function(x, y) {
  test <- suppressWarnings(cor.test(x, y, method = "kendall", exact = FALSE, continuity = TRUE))
  c(unname(test$estimate), unname(test$statistic), test$p.value)
}

base_r <- function() {
  clouds <- lapply(1:150, function(i) {
    n <- sample(4:60, 1)
    if (i %% 2 == 0) list(x = c(0, 1, sample(0:n, n, replace = TRUE)), y = c(0, 1, sample(0:6, n, replace = TRUE)))
    else list(x = 1:n + runif(n, -0.4, 0.4), y = 100 + runif(1, -2, 2) * 1:n + rnorm(n, sd = 10))
  })
  ours <- ask(lapply(clouds, function(p) list("kendall", pairs_of(p$x, p$y))))
  check("Kendall's tau, z and normal p with ties and continuity", lapply(ours, function(a) a[c(2, 4, 5)]),
        lapply(clouds, function(p) kendall_of(p$x, p$y)), least = 0.01)
  untied <- Filter(function(p) anyDuplicated(p$y) == 0 && anyDuplicated(p$x) == 0 && length(p$x) < 50, clouds)
  ours <- ask(lapply(untied, function(p) list("kendall", pairs_of(p$x, p$y))))
  # R takes a small p as 1 less a figure near 1, which leaves nothing of it but the last digits of 1.
  check("Kendall's exact p", lapply(ours, `[`, 6),
        lapply(untied, function(p) cor.test(p$x, p$y, method = "kendall", exact = TRUE)$p.value), least = 1e-3)

  ours <- ask(lapply(clouds, function(p) list("line", pairs_of(p$x, p$y))))
  check("line of least squares: slope, intercept, residual SS, their sd, r2", ours,
        lapply(clouds, function(p) line_of(p$x, p$y)), least = 0.01)

  samples <- lapply(1:200, function(i) sample(c(0, 50, 1e6), 1) + rnorm(sample(3:80, 1), sd = 20))
  check("mean, sd, median, MAD", lapply(ask(lapply(samples, function(v) list("descriptive", v))), `[`, 1:4),
        lapply(samples, function(v) c(mean(v), sd(v), median(v), mad(v, constant = 1))), least = 0.01)
  at <- runif(length(samples))
  check("quantile, type 7", ask(Map(function(v, f) list("quantile", f, v), samples, at)),
        Map(function(v, f) quantile(v, f, type = 7), samples, at), least = 0.01)

  trials <- sample(1:500, 300, replace = TRUE)
  successes <- vapply(trials, function(n) sample(0:n, 1), 0)
  check("Wilson's interval", ask(Map(function(k, n) list("wilson", k, n), successes, trials)),
        Map(function(k, n) suppressWarnings(prop.test(k, n, correct = FALSE)$conf.int), successes, trials),
        least = 0.001)

  charts <- lapply(samples, function(v)
    list(target = v[1], slack = runif(1, 0, 10), weight = runif(1, 0.05, 1), values = v))
  check("EWMA as a recursive filter", ask(lapply(charts, function(p) list("ewma", p$target, 1, p$weight, p$values))),
        lapply(charts, function(p) filter(p$weight * p$values, 1 - p$weight, method = "recursive", init = p$target)),
        least = 0.01)
  # This is the greatest sum that ends at a figure, or 0: the recursion unrolled, so not the same loop again.
  sums <- function(steps) { s <- cumsum(steps); s - pmin(0, cummin(s)) }
  check("CUSUM as cumulative sums above their least",
        ask(lapply(charts, function(p) list("cusum", p$target, p$slack, 1, p$values))),
        lapply(charts, function(p) pairs_of(sums(p$values - p$target - p$slack), sums(p$target - p$slack - p$values))),
        least = 1)

  flow <- as.numeric(Nile)
  check("Nile: tau, z, p of a trend in R's 100 years",
        ask(list(list("kendall", pairs_of(seq_along(flow), flow))))[[1]][c(2, 4, 5)],
        kendall_of(seq_along(flow), flow))

  chicks <- split(as.data.frame(ChickWeight), as.character(ChickWeight$Chick))
  fitted <- Filter(function(d) nrow(d) > 2, chicks)
  check("ChickWeight: each chick's line of growth",
        ask(lapply(fitted, function(d) list("line", pairs_of(d$Time, d$weight)))),
        lapply(fitted, function(d) line_of(d$Time, d$weight)), least = 0.01)
  # The specific growth rate as the slope of the logarithms over the two days.
  ends <- lapply(chicks, function(d) d[c(1, nrow(d)), ])
  check("ChickWeight: each chick's specific growth rate", lapply(ask(lapply(ends, function(d)
    list("growth", d$weight, d$Time[2] - d$Time[1]))), `[`, 2),
    lapply(ends, function(d) 100 * coef(lm(log(weight) ~ Time, d))[2]))
  complete <- Filter(function(d) max(d$Time) == 21, ends)
  rates <- ask(lapply(complete, function(d) list("growth", d$weight, 21)))
  check("ChickWeight: mean rate of the 45 weighed up to day 21", mean(vapply(rates, `[`, 0, 2)), 7.684175, 1e-7)
}

nlme_group <- function() {
  rats <- split(as.data.frame(nlme::BodyWeight), as.character(nlme::BodyWeight$Rat))
  stopifnot(length(rats) == 16)
  check("BodyWeight: each rat's line of growth",
        ask(lapply(rats, function(d) list("line", pairs_of(d$Time, d$weight)))),
        lapply(rats, function(d) line_of(d$Time, d$weight)))
  check("BodyWeight: each rat's mean, sd, median, MAD",
        lapply(ask(lapply(rats, function(d) list("descriptive", d$weight))), `[`, 1:4),
        lapply(rats, function(d) c(mean(d$weight), sd(d$weight), median(d$weight), mad(d$weight, constant = 1))))
  # lmList fits a line to each rat by itself, another way into the same figures.
  fits <- coef(nlme::lmList(weight ~ Time | Rat, data = as.data.frame(nlme::BodyWeight)))
  check("BodyWeight: slopes of lmList", lapply(ask(lapply(rats[rownames(fits)], function(d)
    list("line", pairs_of(d$Time, d$weight)))), `[`, 1), as.list(fits[, "Time"]))
}

set.seed(seed)
if (group == "r") base_r() else nlme_group()
quit(status = if (failed) 3 else 0)
