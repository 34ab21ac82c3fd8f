# awk_job.awk -v job=lines|one-level -v columns="8 9 ..." (places of the values) -v parts=N (the first N are parts of the
# sample) -v names="protein ..." -v low=5 -v high=8 -v ranges="protein 30 45 oil 15 25": the job of jobs.json in awk.
BEGIN {
    FS = ","
    count = split(columns, place, " ")
    split(names, name, " ")
    checked = split(ranges, range, " ") / 3
    for (r = 1; r <= checked; ++r)
        for (k = 1; k <= count; ++k)
            if (name[k] == range[3 * r - 2])
                which[r] = k
}
FNR == 1 { next }
job == "lines" && $0 in seen { next }
{
    if (job == "lines")
        seen[$0]
    moisture = $6
    if (moisture != "" && (moisture < low || moisture > high))
        next
    line = substr($1, 5, 6)
    unit = job == "lines" ? $1 : line
    of[unit] = line
    for (k = 1; k <= count; ++k) {
        value[k] = ""
        if ($(place[k]) == "" || (k <= parts && moisture == ""))
            continue
        v = k <= parts ? $(place[k]) * (87 / (100 - moisture)) : $(place[k]) + 0
        value[k] = v
        if (job == "lines") {
            ++n[unit, k]
            total[unit, k] += v
        } else
            add(line, k, v)
    }
    for (r = 1; r <= checked; ++r) {
        v = value[which[r]]
        if (v != "" && v < range[3 * r - 1])
            ++below[line, r]
        if (v != "" && v > range[3 * r])
            ++above[line, r]
    }
}
# Running mean and sum of squares about it (Welford).
function add(line, k, v,    d) {
    lines[line]
    d = v - mean[line, k]
    mean[line, k] += d / ++size[line, k]
    squares[line, k] += d * (v - mean[line, k])
}
END {
    if (job == "lines")
        for (unit in of)
            for (k = 1; k <= count; ++k)
                if (n[unit, k] > 0)
                    add(of[unit], k, total[unit, k] / n[unit, k])
    printf "line"
    for (k = 1; k <= count; ++k)
        printf ",%s,%s_sd,%s_n", name[k], name[k], name[k]
    for (r = 1; r <= checked; ++r)
        printf ",%s_low,%s_high", range[3 * r - 2], range[3 * r - 2]
    print ""
    for (line in lines) {
        printf "%s", line
        for (k = 1; k <= count; ++k)
            if (size[line, k] > 1)
                printf ",%.17g,%.17g,%d", mean[line, k], sqrt(squares[line, k] / (size[line, k] - 1)), size[line, k]
            else if (size[line, k] == 1)
                printf ",%.17g,,1", mean[line, k]
            else
                printf ",,,0"
        for (r = 1; r <= checked; ++r)
            printf ",%d,%d", below[line, r], above[line, r]
        print ""
    }
}
