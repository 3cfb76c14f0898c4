package checks

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"halfnut/threadmath"
)

// coarsePitches are those of the sizes in the vectors (ISO 262), mm.
var coarsePitches = map[string]string{"3": "0.5", "5": "0.8", "6": "1", "8": "1.25", "10": "1.5", "12": "1.75", "14": "2", "16": "2", "20": "2.5", "24": "3", "27": "3", "30": "3.5", "33": "3.5", "36": "4", "39": "4", "42": "4.5", "48": "5", "56": "5.5", "64": "6"}

// sizeOf writes a size as tables print it (M10, M10x1.25, 5/8-11 UNC, 1-5 ACME) as
// form, diameter and pitch.
func sizeOf(t threadmath.Thread) threadmath.Thread {
	d := t.Designation
	if m := regexp.MustCompile(`^(\S+)-(\S+) (UN.|ACME)`).FindStringSubmatch(d); m != nil {
		t.Designation = ""
		t.Form = "unified"
		if m[3] == "ACME" {
			t.Form = "acme"
		}
		t.Diameter = strings.Replace(m[1], "-", " ", 1) + " in"
		tpi, _ := strconv.ParseFloat(m[2], 64)
		if n, err := strconv.Atoi(m[1]); err == nil && (tpi > 20 || n > 4) && m[3] != "ACME" {
			t.Diameter = fmt.Sprintf("%.3f in", 0.06+0.013*float64(n))
		}
		t.Pitch = m[2] + " tpi"
	}
	if m := regexp.MustCompile(`^M([\d.]+)(?:x([\d.]+))?$`).FindStringSubmatch(d); m != nil {
		t.Designation = ""
		t.Form = "iso-metric"
		t.Diameter = m[1] + " mm"
		p := m[2]
		if p == "" {
			p = coarsePitches[m[1]]
		}
		t.Pitch = p + " mm"
	}
	return t
}
