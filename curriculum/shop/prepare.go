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
		a, err := threadmath.Solve(j.Request)
		if err != nil { // the card was made from the same request
			continue
		}
		c := carder{r: j.Request, a: a, system: a.Pitch.System()}
		internal := j.Request.Thread.Side == "internal"
		name := strings.TrimPrefix(card.Title, "Bench card: ")
		material := "material as the shop has it"
		if j.Request.Cut != nil && j.Request.Cut.Material != "" {
			material = j.Request.Cut.Material
		}
		if b := a.Blank; b != nil {
			size := c.size(b.Diameter)
			if b.Max != nil && b.Min != nil {
				size = c.size(*b.Min) + " to " + c.size(*b.Max)
			}
			title, word := "Blanks", "turned to "
			if internal {
				title, word = "Bored blanks", "bored to "
			}
			add(title, word+size+", thread "+j.Request.Thread.Length+" long, "+material, j.Name, 1)
		}
		for _, f := range card.Facts {
			if f.What == "Tool" {
				side := "external"
				if internal {
					side = "internal"
				}
				add("Tools", side+", "+f.Is, j.Name, 1)
			}
		}
		mate := "nut"
		if internal {
			mate = "screw"
		}
		add("Gauges, or trial pieces", fmt.Sprintf("go and no-go, or a trial %s, for %s (%s, the same lead)", mate, name, counted(len(a.Starts), "start")), j.Name, 1)
		if card.Holder != nil && card.Holder.Kind != threadmath.IndexHoles {
			add("Dogs and centres", "dog with a guarded tail for "+c.size(*a.MajorDiameter)+", a centre trued in place", j.Name, 1)
		}
		if w := a.Wires; w != nil && w.Used != nil && w.Count > 0 {
			add("Wires", "wire of "+c.size(*w.Used), j.Name, w.Count)
		}
		if (a.Gearbox == nil || !a.Gearbox.Usable) && len(a.GearTrains) > 0 {
			t := a.GearTrains[0]
			add("Change gears", card.Lathe+": drivers "+wheels(t.Drivers)+", driven "+wheels(t.Driven), j.Name, 1)
		}
	}
	for _, t := range titles {
		if len(items[t]) > 0 {
			out.Groups = append(out.Groups, curriculum.PreparationGroup{Title: t, Items: items[t]})
		}
	}
	return out
}
