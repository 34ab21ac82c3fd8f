// duckdb_job.js JOB INPUT OUTPUT: the job of jobs.json in SQL, schema given, two threads.
const { DuckDBInstance } = require('@duckdb/node-api');
const { parts, shares, window, ranges, sums: derived, meal, texts } = require('../jobs.json');

const heading = (name) => `"${name}"`;
const names = [...Object.keys(parts), ...Object.keys(shares)];
const values = [
    ...Object.entries(parts).map(([name, h]) => `${heading(h)} * (87 / (100 - moisture)) as ${name}`),
    ...Object.entries(shares).map(([name, h]) => `${heading(h)} as ${name}`),
].join(', ');
const counts = Object.entries(ranges).map(([name, [low, high]]) => [
    `sum(case when ${name} < ${low} then 1 else 0 end) as ${name}_low`,
    `sum(case when ${name} > ${high} then 1 else 0 end) as ${name}_high`,
]).flat();
const sums = counts.map((count) => count.replace(/.* as /, '')).map((name) => `sum(${name}) as ${name}`);
const stats = names.map((n) => `avg(${n}) as ${n}, stddev_samp(${n}) as ${n}_sd, count(${n}) as ${n}_n`).join(', ');
const used = `(moisture is null or moisture between ${window[0]} and ${window[1]})`;
const line = `split_part("Sample ID", '-', 2) as line`;

function sql(job, input) {
    const table = `(select *, "Moisture (%)" as moisture from read_csv('${input}', header = true, auto_detect = true,
        types = {${[...Object.values(parts), ...Object.values(shares), 'Moisture (%)'].map((h) => `'${h}': 'DOUBLE'`).join(', ')},
        'Sample ID': 'VARCHAR', 'Date time': 'VARCHAR', 'Instrument': 'VARCHAR'}))`;
    if (job === 'one-level')
        return `select line, ${stats}, ${counts.join(', ')} from (select ${line}, ${values} from ${table} where ${used})
            group by line order by line`;
    const once = `(select distinct * from ${table})`;
    if (job === 'lines')
        return `select line, ${stats}, ${sums.join(', ')} from (select sample, any_value(line) as line,
            ${names.map((n) => `avg(${n}) as ${n}`).join(', ')}, ${counts.join(', ')} from (select "Sample ID" as sample,
            ${line}, ${values} from ${once} where ${used}) group by sample) group by line order by line`;
    if (job === 'rows') {
        // Sums are null where any of what they add is.
        const made = Object.entries(derived).map(([name, terms]) =>
            `${Object.entries(terms).map(([of, weight]) => `${weight} * ${of}`).join(' + ')} as ${name}`);
        const numbers = ['moisture', ...names, ...Object.keys(derived), meal];
        return `select ${texts.join(', ')}, ${numbers.map((n) => `round(${n}, 4) as ${n}`).join(', ')} from
            (select *, ${made.join(', ')}, protein * (87 / (87 - oil)) as ${meal} from
            (select '${input}' as source, row_number() over () + 1 as row, "Date time" as time, "Instrument" as instrument,
            "Operator" as operator, "Analysis" as analysis,
            case when "Analysis" ilike '%soy%whole%' then 'soybean-whole' end as material, "Sample ID" as sample, ${line},
            split_part("Sample ID", '-', 1) as trial, split_part("Sample ID", '-', 3) as rep,
            case when ${used} then 'use' else 'exclude' end as verdict, '13' as basis, moisture, ${values} from ${table}))`;
    }
    return `select "Sample ID" as sample, ${line}, "Date time" as time, "Instrument" as instrument,
        case when ${used} then 'use' else 'exclude' end as verdict,
        ${names.map((n) => `round(${n}, 4) as ${n}`).join(', ')} from (select *, ${values} from ${table})`;
}

async function main() {
    const [job, input, output] = process.argv.slice(2);
    const connection = await (await DuckDBInstance.create(':memory:', { threads: '2' })).connect();
    await connection.run(`copy (${sql(job, input)}) to '${output}' (header, delimiter ',')`);
}
main();
