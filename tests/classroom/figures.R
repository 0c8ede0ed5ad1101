# Reads sets of groups ("set number" and "value" columns of a CSV) and prints what R makes of them:
# stats (aov, qt, qbeta, mad, median) and MASS (hubers, Huber's proposal 2).
suppressMessages(library(MASS))
# hubers with the factor as ISO 13528 prints it (1.134) in the place of its own (1.13339...): with
# few values the small difference decides what is cut, and grows. And with patience until it has
# converged: its own 30 steps leave some 1e-6.
source_text <- deparse(hubers)
own_factor <- grepl("beta <-", source_text, fixed = TRUE)
own_patience <- grepl("1:30", source_text, fixed = TRUE)
stopifnot(sum(own_factor) == 1, sum(own_patience) == 1)
source_text[own_factor] <- "beta <- 1 / 1.134^2"
source_text[own_patience] <- sub("1:30", "1:3000", source_text[own_patience], fixed = TRUE)
hubers_iso <- eval(parse(text = source_text), envir = asNamespace("MASS"))
data <- read.csv(commandArgs(trailingOnly = TRUE)[1])
for (set in unique(data$set)) {
  one <- data[data$set == set, ]
  one$bench <- factor(one$bench)
  means <- as.numeric(tapply(one$value, one$bench, mean))
  runs <- as.numeric(table(one$bench))
  p <- length(means)
  table <- summary(aov(value ~ bench, one))[[1]]
  usual <- (sum(runs) - sum(runs^2) / sum(runs)) / (p - 1)
  robust <- hubers_iso(means, k = 1.5, tol = 1e-12)
  s_r2 <- table[["Mean Sq"]][2]
  s_L2 <- max(0, (table[["Mean Sq"]][1] - s_r2) / usual)
  grubbs <- function(level) {
    t <- qt(1 - level / (2 * p), p - 2)
    (p - 1) / sqrt(p) * sqrt(t^2 / (p - 2 + t^2))
  }
  sums <- as.numeric(tapply(one$value, one$bench, function(x) sum((x - mean(x))^2)))
  dof <- runs - 1
  share <- sums / sum(sums)
  chance <- 1 - pbeta(share, dof / 2, (sum(dof) - dof) / 2)
  worst <- which.min(chance)
  cochran <- function(level) qbeta(1 - level / p, dof[worst] / 2, (sum(dof) - dof[worst]) / 2)
  sorted <- sort(means)
  all <- sum((means - mean(means))^2)
  left <- function(x) sum((x - mean(x))^2) / all
  cat(sprintf("%.15g", c(median(means), mad(means, constant = 1 / qnorm(0.75)), robust$mu, robust$s,
                         sqrt(s_r2), sqrt(s_L2), sqrt(s_r2 + s_L2), table[["Pr(>F)"]][1],
                         max(abs(means - mean(means))) / sd(means), grubbs(0.05), grubbs(0.01),
                         min(left(sorted[1:(p - 2)]), left(sorted[3:p])),
                         share[worst], cochran(0.05), cochran(0.01))), "\n")
}
