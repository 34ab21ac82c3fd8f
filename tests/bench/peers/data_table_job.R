# data_table_job.R JOB INPUT OUTPUT: the job of jobs.json with data.table, two threads.
suppressPackageStartupMessages(library(data.table))
setDTthreads(2)
arguments <- commandArgs(TRUE)
here <- dirname(sub("^--file=", "", grep("^--file=", commandArgs(), value = TRUE)))
spec <- jsonlite::fromJSON(file.path(here, "..", "jobs.json"))
readings <- fread(arguments[2], showProgress = FALSE, colClasses = list(character = "Date time"))
job <- arguments[1]
if (job == "lines") readings <- unique(readings)
moisture <- readings[["Moisture (%)"]]
used <- is.na(moisture) | (moisture >= spec$window[1] & moisture <= spec$window[2])
names <- c(names(spec$parts), names(spec$shares))
values <- data.table(sample = readings[["Sample ID"]])
ids <- unique(values$sample)
values[, line := tstrsplit(ids, "-", fixed = TRUE, keep = 2)[[1]][match(sample, ids)]]
factor <- 87 / (100 - moisture)
for (name in names(spec$parts)) values[, (name) := readings[[spec$parts[[name]]]] * factor]
for (name in names(spec$shares)) values[, (name) := readings[[spec$shares[[name]]]]]
outside <- character()
for (name in names(spec$ranges)) {
  values[, (paste0(name, "_low")) := as.integer(!is.na(get(name)) & get(name) < spec$ranges[[name]][1])]
  values[, (paste0(name, "_high")) := as.integer(!is.na(get(name)) & get(name) > spec$ranges[[name]][2])]
  outside <- c(outside, paste0(name, c("_low", "_high")))
}
if (job == "rows") {
  for (name in names(spec$sums)) { # missing where any of what they add is
    terms <- spec$sums[[name]]
    values[, (name) := Reduce(`+`, lapply(names(terms), function(of) get(of) * terms[[of]]))]
  }
  values[, (spec$meal) := protein * (87 / (87 - oil))]
  values[, moisture := moisture]
  numbers <- c("moisture", names, names(spec$sums), spec$meal)
  for (name in numbers) set(values, j = name, value = round(values[[name]], 4))
  ids <- unique(values$sample)
  at <- match(values$sample, ids)
  pieces <- tstrsplit(ids, "-", fixed = TRUE)
  analyses <- unique(readings$Analysis)
  materials <- ifelse(grepl("soy.*whole", analyses, ignore.case = TRUE), "soybean-whole", NA)
  values[, `:=`(source = arguments[2], row = .I + 1L, time = readings[["Date time"]], instrument = readings$Instrument,
                operator = readings$Operator, analysis = readings$Analysis, material = materials[match(readings$Analysis, analyses)],
                trial = pieces[[1]][at], rep = pieces[[3]][at], verdict = fifelse(used, "use", "exclude"), basis = "13")]
  fwrite(values[, c(spec$texts, numbers), with = FALSE], arguments[3])
} else if (job == "readings") {
  values[, verdict := fifelse(used, "use", "exclude")]
  values[, time := readings[["Date time"]]]
  values[, instrument := readings[["Instrument"]]]
  for (name in names) set(values, j = name, value = round(values[[name]], 4))
  fwrite(values[, c("sample", "line", "time", "instrument", "verdict", names), with = FALSE], arguments[3])
} else {
  values <- values[used]
  if (job == "lines") {
    means <- values[, lapply(.SD, mean, na.rm = TRUE), by = .(sample, line), .SDcols = names]
    flags <- values[, lapply(.SD, sum), by = .(sample, line), .SDcols = outside]
    values <- cbind(means, flags[, ..outside])
  }
  result <- values[, c(lapply(.SD, mean, na.rm = TRUE), setNames(lapply(.SD, sd, na.rm = TRUE), paste0(names, "_sd")),
                       setNames(lapply(.SD, function(v) sum(!is.na(v))), paste0(names, "_n"))), keyby = line, .SDcols = names]
  flags <- values[, lapply(.SD, sum), keyby = line, .SDcols = outside]
  fwrite(cbind(result, flags[, ..outside]), arguments[3])
}
