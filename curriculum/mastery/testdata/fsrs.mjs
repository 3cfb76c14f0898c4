// Writes fsrs.csv: memory states and intervals by npm ts-fsrs 5.4.2 (MIT), for
// chains of reviews drawn by a fixed rule. Run it as
//   npm install ts-fsrs@5.4.2 && node fsrs.mjs > fsrs.csv
import { createRequire } from 'node:module'
import path from 'node:path'
const { fsrs, generatorParameters } = createRequire(path.join(process.cwd(), 'index.js'))('ts-fsrs')

const f = fsrs(generatorParameters({ enable_fuzz: false, enable_short_term: true, request_retention: 0.9 }))
let state = 12345
const next = (n) => (state = (state * 1103515245 + 12345) % 2147483648, Math.floor(state / 65536) % n)
const gaps = [0, 0, 1, 2, 3, 5, 8, 14, 21, 40, 90]
const lines = ['chain,days,grade,stability,difficulty,interval']
for (let chain = 1; chain <= 60; chain++) {
  let memory = null
  for (let i = 0; i < 8; i++) {
    const days = i === 0 ? 0 : gaps[next(gaps.length)]
    const grade = [1, 2, 3, 3, 3][next(5)] // again, hard, good; easy is never given
    memory = f.next_state(memory, days, grade)
    lines.push([chain, days, grade, memory.stability, memory.difficulty, f.next_interval(memory.stability, 0)].join(','))
  }
}
console.log(lines.join('\n'))
