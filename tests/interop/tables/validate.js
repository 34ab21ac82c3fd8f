// validate.js FOLDER: datapackage.json of FOLDER is valid, and every table can be read by its schema, each number as it is
// written; a description that is wrong is found to be so.
const fs = require('fs')
const path = require('path')
const { Package } = require('datapackage')

const folder = process.argv[2]
let failed = 0
function fail(text) {
    failed += 1
    if (failed <= 10) console.log(`FAILED ${folder}: ${text}`)
}

async function load(descriptor) {
    return Package.load(descriptor, { basePath: folder, strict: false })
}

// What a table's reader says about it; empty: nothing.
async function complaint(resource) {
    try {
        await resource.read()
        return ''
    } catch (error) {
        return (error.errors && error.errors.length ? error.errors[0] : error).message
    }
}

async function main() {
    const descriptor = JSON.parse(fs.readFileSync(path.join(folder, 'datapackage.json'), 'utf8'))
    const whole = await load(descriptor)
    if (!whole.valid) for (const error of whole.errors) fail(error.message)
    if (whole.descriptor.profile !== 'tabular-data-package') fail(`profile ${whole.descriptor.profile}`)
    const files = fs.readdirSync(folder).filter((name) => name.endsWith('.csv')).sort()
    const described = whole.resources.map((resource) => resource.descriptor.path).sort()
    if (files.join() !== described.join()) fail(`described are ${described}, there are ${files}`)
    let cells = 0
    for (const resource of whole.resources) {
        const said = await complaint(resource)
        if (said) {
            fail(`${resource.name}: ${said}`)
            continue
        }
        const typed = await resource.read()
        const raw = await resource.read({ cast: false })
        const types = resource.schema.fields.map((field) => field.type)
        typed.forEach((row, i) => {
            row.forEach((value, column) => {
                const text = raw[i][column]
                if (text === '') {
                    if (value !== null) fail(`${resource.name} row ${i}: ${value} for an empty cell`)
                } else if (types[column] === 'number' || types[column] === 'integer') {
                    cells += 1
                    if (typeof value !== 'number' || value !== Number(text)) fail(`${resource.name} row ${i}: ${value}, not ${text}`)
                }
            })
        })
    }
    console.log(`${folder}: valid, ${whole.resources.length} tables, ${cells} numbers`)
    if (cells === 0) fail('no number was compared')

    // The validator itself must be able to see mistakes.
    const unnamed = JSON.parse(JSON.stringify(descriptor))
    delete unnamed.resources[0].schema.fields[0].name
    if ((await load(unnamed)).valid) fail('a field without a name passes')
    const mistyped = JSON.parse(JSON.stringify(descriptor))
    const lines = mistyped.resources.find((resource) => resource.name === 'lines')
    lines.schema.fields.find((field) => field.name === 'line').type = 'number'
    const wrong = await load(mistyped)
    if (!(await complaint(wrong.getResource('lines')))) fail('a name passes for a number')
    process.exit(failed ? 1 : 0)
}

main().catch((error) => {
    console.log(`FAILED ${folder}: ${error.stack}`)
    process.exit(1)
})
