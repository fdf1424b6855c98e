# Daily mean wind of Irish stations, 1961-1978 (Haslett & Raftery 1989, Applied Statistics 38;
# data set "wind" of the package gstat, in knots), written as one CSV a station, and a Weibull
# distribution fitted by maximum likelihood: station, mean, shape, scale in m/s on standard output.
args <- commandArgs(trailingOnly = TRUE)
data(wind, package = "gstat")
for (station in args[-1]) {
  knots <- wind[[station]]
  writeLines(c("wind [knots]", format(knots, digits = 8, trim = TRUE)),
             file.path(args[1], paste0(station, ".csv")))
  v <- knots * 1852 / 3600
  v <- v[v > 0]
  loss <- function(p) -sum(dweibull(v, exp(p[1]), exp(p[2]), log = TRUE))
  p <- exp(optim(c(log(2), log(mean(v))), loss, control = list(reltol = 1e-12, maxit = 2000))$par)
  cat(station, sprintf("%.6f", mean(knots) * 1852 / 3600), sprintf("%.6f", p), "\n")
}
