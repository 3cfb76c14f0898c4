package worksheets

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"halfnut/curriculum"
)

func day(t time.Time) string { return t.Format("Mon 2 Jan 2006") }

// PlanSheet returns a learner's practice plan as a sheet to tick off.
func PlanSheet(p curriculum.PracticePlan, style Style) Sheet {
	s := Sheet{
		Owner: p.Name, Title: "Practice plan of " + p.Name, Style: style,
		Running: Running{Title: "Practice plan", Lines: []string{"Name: " + p.Name}, Footer: safetyFooter},
	}
	if p.Gate != nil {
		line := "Day at the lathe: " + day(*p.Gate) + "."
		if p.Chance != nil {
			line += fmt.Sprintf(" If every sitting is kept, the chance of being ready is about %.0f %%.", 100**p.Chance)
		}
		if p.Late > 0 {
			line += fmt.Sprintf(" Even with every answer right the plan ends %d days late: talk to your instructor.", p.Late)
		}
		s.Body = append(s.Body, Para(line))
	}
	var rows [][]string
	for _, session := range p.Sessions {
		var what []string
		times := map[string]int{}
		for _, it := range session.Items {
			text := it.Title + " (" + it.Why + ")"
			if times[text] == 0 {
				what = append(what, text)
			}
			times[text]++
		}
		for i, text := range what {
			if times[text] > 1 {
				what[i] = strconv.Itoa(times[text]) + " × " + text
			}
		}
		rows = append(rows, []string{"☐", day(session.Date), strings.Join(what, "; ")})
	}
	if len(rows) > 0 {
		s.Body = append(s.Body, Table{Columns: []Column{{Title: "Done"}, {Title: "Day", Bold: true, Min: 36}, {Title: "Exercises, and why"}}, Rows: rows, RowMin: style.WriteHeight})
	} else {
		s.Body = append(s.Body, Para("There is nothing to practise yet. Your instructor sets a course first."))
	}
	return s
}

// CourseSheet returns the plan of a class's course with one lesson to a page or more, for the instructor.
func CourseSheet(class string, p curriculum.CoursePlan, style Style) Sheet {
	title := "Lesson plan: " + p.Course.Spec.Title
	s := Sheet{
		Owner: "the lesson plan of " + class, Style: style,
		Running: Running{Title: title, Lines: []string{"Class: " + class + ", " + p.LatheName}, Footer: safetyFooter},
	}
	if p.MeetingsShort > 0 {
		s.Body = append(s.Body, Boxed{Title: "⚠ Not enough meetings", Body: []Block{Para(fmt.Sprintf("%d more needed before the day at the lathe; without them these find no place: %s.", p.MeetingsShort, skillWords(p.NotTaught)))}})
	}
	if len(p.NotAsked) > 0 {
		s.Body = append(s.Body, Para("No exercise can be drawn on this lathe for: "+skillWords(p.NotAsked)+". Show them at the machine."))
	}
	for _, l := range p.Lessons {
		if l.Past {
			continue
		}
		s.Body = append(s.Body, PageBreak{})
		s.Body = append(s.Body, lessonBlocks(l)...)
	}
	if len(s.Body) == 0 {
		s.Body = append(s.Body, Para("No lesson is left before the day at the lathe."))
	}
	return s
}

func lessonBlocks(l curriculum.Lesson) []Block {
	rows := make([][]string, len(l.Parts))
	for i, part := range l.Parts {
		rows[i] = []string{strconv.Itoa(part.Minutes), part.What, "☐"}
	}
	out := []Block{Heading{Text: fmt.Sprintf("Lesson %d, %s, %d minutes", l.Number, day(l.Date), l.Minutes), Level: 2}}
	if len(rows) > 0 {
		out = append(out, Table{Columns: []Column{{Title: "Minutes", Align: Right}, {Title: "What"}, {Title: "Done"}}, Rows: rows})
	}
	for _, a := range l.Aims {
		out = append(out, Keep{Name: "an aim", OrFlow: true, Body: []Block{
			Heading{Text: a.Title, Level: 3}, Para(a.Purpose), List{Entries: a.Points},
		}})
	}
	if len(l.WarmUp) > 0 {
		out = append(out, Keep{Name: "the warm-up", OrFlow: true, Body: []Block{Heading{Text: "Warm-up, no notes", Level: 3}, Para(skillWords(l.WarmUp))}})
	}
	if len(l.Questions) > 0 {
		entries := make([]string, len(l.Questions))
		for i, e := range l.Questions {
			entries[i] = e.Prompt
			for _, part := range e.Parts {
				entries[i] += " " + part.Ask
			}
		}
		out = append(out, List{Numbered: true, Entries: entries})
	}
	for _, m := range l.Mistakes {
		out = append(out, Keep{Name: "a mistake", OrFlow: true, Body: []Block{
			Heading{Text: "At the board: " + m.Feedback, Level: 3}, Para(m.Task),
			Columns{Parts: [][]Block{
				{Paragraph{Spans: []Span{{Text: "Wrong", Face: Bold}}}, List{Numbered: true, Entries: m.Wrong}},
				{Paragraph{Spans: []Span{{Text: "Right", Face: Bold}}}, List{Numbered: true, Entries: m.Right}},
			}},
		}})
	}
	return out
}

// skillWords names skills in words.
func skillWords(slugs []string) string {
	words := make([]string, len(slugs))
	for i, slug := range slugs {
		words[i] = strings.ReplaceAll(slug, "-", " ")
		if s, err := curriculum.SkillOf(slug); err == nil {
			words[i] = s.Title
		}
	}
	return strings.Join(words, ", ")
}
