// polars_job.js JOB INPUT OUTPUT: the job of jobs.json with lazy frames.
const pl = require('nodejs-polars');
const { writeFileSync } = require('fs');
const { parts, shares, window, ranges, sums, meal, texts } = require('../jobs.json');

const [job, input, output] = process.argv.slice(2);
const names = [...Object.keys(parts), ...Object.keys(shares)];
const moisture = pl.col('Moisture (%)');
const used = moisture.isNull().or(moisture.gtEq(window[0]).and(moisture.ltEq(window[1])));
const values = [
    ...Object.entries(parts).map(([name, h]) => pl.col(h).mul(pl.lit(87).div(pl.lit(100).minus(moisture))).alias(name)),
    ...Object.entries(shares).map(([name, h]) => pl.col(h).alias(name)),
];
const line = pl.col('Sample ID').str.slice(4, 6).alias('line');
const flag = (condition, name) => pl.when(condition).then(pl.lit(1)).otherwise(pl.lit(0)).sum().alias(name);
const counts = Object.entries(ranges).map(([name, [low, high]]) => [
    flag(pl.col(name).lt(low), `${name}_low`), flag(pl.col(name).gt(high), `${name}_high`)]).flat();
const stats = names.map((n) => [
    pl.col(n).mean().alias(n), pl.col(n).std().alias(`${n}_sd`), pl.col(n).count().alias(`${n}_n`)]).flat();

const read = pl.scanCSV(input, job === 'rows' ? { rowIndexName: 'row', rowIndexOffset: 2 } : {});
let result;
if (job === 'one-level')
    result = read.filter(used).select(line, ...values).groupBy('line').agg(...stats, ...counts).sort('line');
else if (job === 'lines')
    result = read.unique().filter(used).select(pl.col('Sample ID'), line, ...values).groupBy('Sample ID')
        .agg(pl.col('line').first(), ...names.map((n) => pl.col(n).mean()), ...counts)
        .groupBy('line').agg(...stats, ...Object.keys(ranges).map((n) => [
            pl.col(`${n}_low`).sum(), pl.col(`${n}_high`).sum()]).flat()).sort('line');
else if (job === 'rows') {
    // Sums are null where any of what they add is.
    const sum = ([name, terms]) => Object.entries(terms).map(([of, weight]) => pl.col(of).mul(pl.lit(weight)))
        .reduce((a, b) => a.add(b)).alias(name);
    const numbers = ['moisture', ...names, ...Object.keys(sums), meal];
    const id = (from, length, name) => pl.col('Sample ID').str.slice(from, length).alias(name);
    const constant = (text, name) => pl.lit(text).alias(name);
    result = read.select(constant(input, 'source'), pl.col('row'), pl.col('Date time').alias('time'),
        pl.col('Instrument').alias('instrument'), pl.col('Operator').alias('operator'), pl.col('Analysis').alias('analysis'),
        pl.when(pl.col('Analysis').str.contains('(?i)soy.*whole')).then(pl.lit('soybean-whole')).otherwise(pl.lit(null)).alias('material'),
        pl.col('Sample ID').alias('sample'), line, id(0, 3, 'trial'), id(11, 2, 'rep'),
        pl.when(used).then(pl.lit('use')).otherwise(pl.lit('exclude')).alias('verdict'), constant('13', 'basis'), moisture.alias('moisture'),
        ...values)
        .withColumns(...Object.entries(sums).map(sum), pl.col('protein').mul(pl.lit(87).div(pl.lit(87).minus(pl.col('oil')))).alias(meal))
        .select(...texts.map((name) => pl.col(name)), ...numbers.map((name) => pl.col(name).round(4)));
} else
    result = read.select(pl.col('Sample ID').alias('sample'), line, pl.col('Date time').alias('time'), pl.col('Instrument').alias('instrument'),
        pl.when(used).then(pl.lit('use')).otherwise(pl.lit('exclude')).alias('verdict'), ...values.map((v) => v.round(4)));
result.collectSync().writeCSV(output);
