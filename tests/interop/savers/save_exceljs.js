// save_exceljs.js CELLS BOOK [stream]: saves the cells with exceljs, whole or as a stream of rows with shared strings.
const ExcelJS = require("exceljs");
const fs = require("fs");
const [cells, path, how] = process.argv.slice(2);

function value(field) {
    const content = field.slice(2);
    if (field.startsWith("t:")) return content;
    if (field.startsWith("d:")) return new Date(Date.UTC(1899, 11, 30) + Math.round(Number(content) * 86400) * 1000);
    return field ? Number(content) : null;
}

async function main() {
    const book = how ? new ExcelJS.stream.xlsx.WorkbookWriter({ filename: path, useStyles: true, useSharedStrings: true })
                     : new ExcelJS.Workbook();
    const sheet = book.addWorksheet("Week 32");
    for (const line of fs.readFileSync(cells, "utf8").trimEnd().split("\n")) {
        const row = sheet.addRow(line.split("\t").map(value));
        line.split("\t").forEach((field, i) => {
            if (field.startsWith("p:")) row.getCell(i + 1).numFmt = "0.00%";
            if (field.startsWith("d:")) row.getCell(i + 1).numFmt = "dd/mm/yyyy hh:mm:ss";
        });
        if (how) row.commit();
    }
    await (how ? book.commit() : book.xlsx.writeFile(path));
}
main();
