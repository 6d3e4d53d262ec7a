# Make the main figures of this package again, and say how far they are from those it holds.
#
# Needs R with the package survival, and nothing of the program that wrote the package. Run in the folder of the package, or name it:
#
#     Rscript recompute.R [FOLDER]
#
# Made again, from lives.csv, calls.csv and watched_hours.csv alone:
#   rates of failures by part, rates of calls by cause   events over hours, exact limits (Garwood 1936)
#   curves whose every age of failure is known            survfit with delayed entry, log-log limits
#   fits without delayed entry                            survreg, Weibull, with interval and right censoring
#   every fit                                             the likelihood with delayed entry, climbed by optim
# The settings in force are read from settings.csv. Ends with 1 if any figure differs by more than one part in a hundred thousand.

suppressMessages(library(survival))
options(warn = 1)

TOLERANCE <- 1e-5
given <- commandArgs(trailingOnly = TRUE)
folder <- if (length(given)) given[1] else "."
table_of <- function(name) {
  read.csv(file.path(folder, paste0(name, ".csv")), na.strings = "", check.names = FALSE, fileEncoding = "UTF-8",
           stringsAsFactors = FALSE, colClasses = "character", quote = "\"", comment.char = "")
}
num <- function(words) as.numeric(words)
apart <- function(ours, theirs) ifelse(ours == theirs, 0, abs(ours - theirs) / pmax(abs(ours), abs(theirs), 1e-300))

settings <- table_of("settings")
level <- num(settings$value[settings$setting == "level"])
tail_of <- (1 - level) / 2
rates <- table_of("rates")
lives <- table_of("lives")
fits <- table_of("fits")
curves <- table_of("curves")

rate_with_limits <- function(events, hours) {
  low <- ifelse(events > 0, qgamma(tail_of, pmax(events, 1)), 0)
  cbind(rate = events, low = low, high = qgamma(1 - tail_of, events + 1)) * 1000 / hours
}

compare_rates <- function(of, by, made) {
  told <- rates[rates$of == of & rates$by == by & !is.na(rates$rate), ]
  told <- told[told$group %in% rownames(made), ]
  if (!nrow(told)) return(numeric(0))
  c(apart(made[told$group, , drop = FALSE], cbind(num(told$rate), num(told$low), num(told$high))))
}

failure_rates <- function() {
  end <- ifelse(lives$ending == "condition", num(lives$low_h), ifelse(is.na(lives$high_h), num(lives$low_h), num(lives$high_h)))
  hours <- end - num(lives$entry_h)
  known <- !is.na(hours)
  failed <- lives$ending %in% c("failed", "found failed")
  watched <- tapply(hours[known], lives$component[known], sum)
  events <- tapply(failed[known], lives$component[known], sum)
  kept <- names(watched)[watched > 0]
  made <- rate_with_limits(as.vector(events[kept]), as.vector(watched[kept]))
  rownames(made) <- kept
  made
}

call_rates <- function() {
  calls <- table_of("calls")
  months <- table_of("watched_hours")
  months <- months[num(months$days) > 0, ]
  place <- paste(months$vessel_id, months$month, sep = "\r")
  hours <- tapply(num(months$engine_h), place, sum)
  hours <- hours[!is.na(hours)]
  cause <- ifelse(is.na(calls$cause), "unknown", calls$cause)
  timed <- paste(calls$vessel_id, calls$month, sep = "\r") %in% names(hours)
  events <- tapply(timed, cause, sum)
  if (!length(hours) || sum(hours) <= 0) return(matrix(0, 0, 3))
  made <- rate_with_limits(as.vector(events), sum(hours))
  rownames(made) <- names(events)
  made
}

ages_of <- function(component, clock) {
  end <- if (clock == "hours") "h" else "months"
  held <- lives[lives$component == component, ]
  entry <- num(held[[paste0("entry_", end)]])
  low <- num(held[[paste0("low_", end)]])
  high <- num(held[[paste0("high_", end)]])
  high[is.na(high)] <- Inf
  finish <- ifelse(is.infinite(high), low, high)
  kept <- !is.na(entry) & !is.na(low) & finish > entry
  data.frame(entry = entry, low = pmax(low, entry), high = high)[kept, ]
}

compare_curve <- function(fit) {
  told <- curves[curves$component == fit$component & curves$group_name == fit$group_name & curves$clock == fit$clock, ]
  if (!nrow(told) || num(fit$interval_censored) > 0) return(numeric(0))
  begins <- num(told$age[1])
  a <- ages_of(fit$component, fit$clock)
  finish <- ifelse(is.infinite(a$high), a$low, a$high)
  kept <- a$low >= begins & finish > begins
  surv <- Surv(pmax(a$entry[kept], begins), finish[kept], as.integer(is.finite(a$high[kept])))
  made <- survfit(surv ~ 1, conf.type = "log-log", conf.int = level, timefix = FALSE)
  at <- findInterval(num(told$age[-1]), made$time)
  held <- made$surv[at] > 0
  ours <- cbind(made$surv[at], made$lower[at], made$upper[at])[held, , drop = FALSE]
  c(apart(ours, cbind(num(told$surviving), num(told$low), num(told$high))[-1, , drop = FALSE][held, , drop = FALSE]))
}

weibull_loss <- function(parameters, a) {
  shape <- exp(parameters[1]); scale <- exp(parameters[2])
  hazard <- function(age) (age / scale)^shape
  exact <- a$low == a$high
  running <- is.infinite(a$high)
  between <- !exact & !running
  total <- sum(hazard(a$entry)) - sum(hazard(a$low[running]))
  total <- total + sum(log(shape / scale) + (shape - 1) * log(a$low[exact] / scale) - hazard(a$low[exact]))
  total <- total + sum(-hazard(a$low[between]) + log(-expm1(hazard(a$low[between]) - hazard(a$high[between]))))
  if (is.finite(total)) -total else 1e300
}

figures <- function(shape, scale, likelihood) {
  c(shape = shape, scale = scale, b10 = scale * (-log(0.9))^(1 / shape), median = scale * log(2)^(1 / shape), log_likelihood = likelihood)
}

by_optim <- function(a) {
  found <- c(0.3, log(mean(ifelse(is.infinite(a$high), a$low, a$high))) + 0.5)
  for (again in 1:4) found <- optim(found, weibull_loss, a = a, control = list(reltol = 1e-15, maxit = 4000))$par
  figures(exp(found[1]), exp(found[2]), -weibull_loss(found, a))
}

by_survreg <- function(a) {
  low <- ifelse(a$low == 0, NA, a$low)
  high <- ifelse(is.infinite(a$high), NA, a$high)
  made <- survreg(Surv(low, high, type = "interval2") ~ 1, dist = "weibull", control = survreg.control(rel.tolerance = 1e-12, maxiter = 200))
  figures(1 / made$scale, exp(unname(coef(made))), made$loglik[2])
}

compare_fit <- function(fit, make, names) {
  told <- num(unlist(fit[names]))
  made <- make(ages_of(fit$component, fit$clock))[names]
  c(apart(made, told)[!is.na(told)])
}

every_fit <- fits[!is.na(fits$shape), ]
rows_of <- function(frame) if (nrow(frame)) split(frame, seq_len(nrow(frame))) else list()
all_figures <- c("shape", "scale", "b10", "median", "log_likelihood")
seen_from_new <- every_fit[num(every_fit$delayed) == 0, ]
found <- list(
  "rates of failures by part" = compare_rates("failures", "component", failure_rates()),
  "rates of calls by cause" = compare_rates("calls", "cause", call_rates()),
  "curves (survfit)" = unlist(lapply(rows_of(fits), compare_curve)),
  "Weibull fits (survreg, no delayed entry)" = unlist(lapply(rows_of(seen_from_new), compare_fit, by_survreg, all_figures)),
  "Weibull fits (optim)" = unlist(lapply(rows_of(every_fit), compare_fit, by_optim, all_figures))
)
for (name in names(found)) {
  cat(sprintf("%s: %d figures, largest relative difference %.1e\n", name, length(found[[name]]), max(0, found[[name]])))
}
largest <- max(0, unlist(found))
cat(sprintf("largest relative difference of all %.1e\n", largest))
quit(status = if (largest <= TOLERANCE) 0 else 1)
