package shop

import (
	"fmt"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// NamedJob is a learner's job for the preparation list.
type NamedJob struct {
	Name    string
	Request threadmath.Request
	Method  string
}

// Prepare lists what the jobs of a class need before it comes into the shop:
// blanks and bores, tools, gauges or trial nuts, dogs, wires and change gears,
// the same things together. Jobs without a bench card stand under Without. How
// much longer than the thread a blank is cut is the shop's own custom and is not
// said.
func Prepare(jobs []NamedJob) curriculum.Preparation {
	titles := []string{"Blanks", "Bored blanks", "Tools", "Gauges, or trial pieces", "Dogs and centres", "Wires", "Change gears"}
	items := map[string][]curriculum.PreparationItem{}
	add := func(title, what, who string, count int) {
		for i := range items[title] {
			if it := &items[title][i]; it.What == what {
				it.Count += count
				it.For = append(it.For, who)
				return
			}
		}
		items[title] = append(items[title], curriculum.PreparationItem{What: what, Count: count, For: []string{who}})
	}
	out := curriculum.Preparation{Groups: []curriculum.PreparationGroup{}, Without: []curriculum.CardRow{}}
	for _, j := range jobs {
		card, err := BenchCard(j.Request, j.Method, curriculum.UnitsOfJob)
		if err != nil {
			out.Without = append(out.Without, curriculum.CardRow{What: j.Name, Is: err.Error()})
			continue
		}
		internal := card.Thread.Side == "internal"
		name := strings.TrimPrefix(card.Title, "Bench card: ")
		material := "material as the shop has it"
		if j.Request.Cut != nil && j.Request.Cut.Material != "" {
			material = j.Request.Cut.Material
		}
		title, word, side := "Blanks", "turned to ", "external"
		if internal {
			title, word, side = "Bored blanks", "bored to ", "internal"
		}
		add(title, word+card.Blank.Min.Text+" to "+card.Blank.Max.Text+", thread "+card.Thread.Length.Text+" long, "+material, j.Name, 1)
		add("Tools", side+", "+toolText(card.Tool), j.Name, 1)
		mate := "nut"
		if internal {
			mate = "screw"
		}
		add("Gauges, or trial pieces", fmt.Sprintf("go and no-go, or a trial %s, for %s (%s, the same lead)", mate, name, counted(card.Thread.Starts, "start")), j.Name, 1)
		if card.Holder != nil && card.Holder.Kind != threadmath.IndexHoles {
			add("Dogs and centres", "dog with a guarded tail for "+card.Blank.Max.Text+", a centre trued in place", j.Name, 1)
		}
		if w := card.Measure.Wire; w != nil {
			add("Wires", "wire of "+w.Text, j.Name, card.Measure.Wires)
		}
		if g := card.Gear; len(g.Drivers) > 0 {
			add("Change gears", card.Lathe+": drivers "+wheels(g.Drivers)+", driven "+wheels(g.Driven), j.Name, 1)
		}
	}
	for _, t := range titles {
		if len(items[t]) > 0 {
			out.Groups = append(out.Groups, curriculum.PreparationGroup{Title: t, Items: items[t]})
		}
	}
	return out
}

// toolText names a tool by what is ground.
func toolText(t curriculum.CardTool) string {
	text := degrees(t.IncludedDeg) + " included, flat " + t.Flat.Text
	if t.Radius != nil {
		text += " or radius " + t.Radius.Text
	}
	if t.LeadingGrindDeg != nil {
		text += fmt.Sprintf("; side clearance leading %.1f°, trailing %.1f°", *t.LeadingGrindDeg, *t.TrailingGrindDeg)
	}
	return text
}
