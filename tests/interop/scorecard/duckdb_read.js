// duckdb_read.js FILE...: each file read without any option; one line of JSON for each: columns or error.
const { DuckDBInstance } = require('@duckdb/node-api');

async function main() {
    const instance = await DuckDBInstance.create(':memory:');
    const connection = await instance.connect();
    for (const path of process.argv.slice(2)) {
        try {
            const reader = await connection.runAndReadAll(`select * from read_csv('${path}')`);
            const names = reader.columnNames(), types = reader.columnTypes().map(String);
            const columns = reader.getColumnsJson().map((cells, i) => [
                names[i],
                cells.map((cell) => (cell === null || !/INT|DOUBLE|DECIMAL|FLOAT/.test(types[i]) ? cell : Number(cell))),
            ]);
            console.log(JSON.stringify({ columns }));
        } catch (error) {
            console.log(JSON.stringify({ error: 'error' }));
        }
    }
}
main();
