// Reads a calendar with npm ical.js 2.2.1 (MPL-2.0) and prints its events, one a
// line. Run it as
//   npm install ical.js@2.2.1 && node read.mjs plan.ics
import { createRequire } from 'node:module'
import fs from 'node:fs'
import path from 'node:path'
const require = createRequire(path.join(process.cwd(), 'index.js'))
const loaded = await import(require.resolve('ical.js'))
const ICAL = loaded.default ?? loaded

const calendar = new ICAL.Component(ICAL.parse(fs.readFileSync(process.argv[2], 'utf8')))
for (const e of calendar.getAllSubcomponents('vevent').map((c) => new ICAL.Event(c))) {
  const when = (t) => t.toJSDate().toISOString().replace('.000', '')
  console.log([e.uid, when(e.startDate), when(e.endDate), e.summary, JSON.stringify(e.description), ...(e.component.getFirstPropertyValue('status') ? [e.component.getFirstPropertyValue('status') + ' ' + e.sequence] : [])].join(' | '))
}
