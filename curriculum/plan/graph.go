package plan

import "halfnut/curriculum"

// node is a skill of the catalogue with what it needs, by place.
type node struct {
	slug, title string
	needs       []int // directly
	all         []int // directly or not
	safety      bool
}

// nodes holds the catalogue, each skill after what it needs.
var nodes, placeOf = func() ([]node, map[string]int) {
	var ns []node
	at := map[string]int{}
	for i, s := range curriculum.Skills() {
		n := node{slug: s.Slug, title: s.Title, safety: s.Safety}
		for _, need := range s.Needs {
			n.needs = append(n.needs, at[need])
		}
		for _, need := range curriculum.Prerequisites(s.Slug) {
			n.all = append(n.all, at[need])
		}
		at[s.Slug] = i
		ns = append(ns, n)
	}
	return ns, at
}()

// Wanted returns the skills with all that they build on, each after what it
// needs; unknown slugs are left out.
func Wanted(skills []string) []string {
	wanted := make([]bool, len(nodes))
	for _, slug := range skills {
		i, ok := placeOf[slug]
		if !ok {
			continue
		}
		wanted[i] = true
		for _, n := range nodes[i].all {
			wanted[n] = true
		}
	}
	out := []string{}
	for i, n := range nodes {
		if wanted[i] {
			out = append(out, n.slug)
		}
	}
	return out
}
