package worksheets

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// measured returns the length of the dimension line of the class in millimetres of the real thing.
func measured(t require.TestingT, g Group, class string) float64 {
	l, ok := g.Measure(class)
	require.True(t, ok, "one line of class %s", class)
	return l / g.Scale
}

// only returns the one item of the class.
func only[T Item](t require.TestingT, g Group, class string) T {
	items := g.Find(class)
	require.Len(t, items, 1, class)
	it, ok := items[0].(T)
	require.True(t, ok, "%s is a %T", class, items[0])
	return it
}

// swept returns the angle of the arc of the class.
func swept(t require.TestingT, g Group, class string) float64 {
	a := only[Arc](t, g, class)
	return a.To - a.From
}

// checkDrawing holds a drawing to what every drawing promises: it stays within the width and its texts do not lie over
// each other.
func checkDrawing(t require.TestingT, g Group, width float64) {
	require.LessOrEqual(t, g.Bounds().W, width+0.01)
	require.NotEmpty(t, g.Title)
	require.NotEmpty(t, g.Desc)
	require.NoError(t, CheckText("title", g.Title+g.Desc))
	var texts []Text
	walk(g.Items, func(it Item) {
		if text, ok := it.(Text); ok {
			texts = append(texts, text)
		}
	})
	for i, a := range texts {
		for _, b := range texts[i+1:] {
			require.False(t, letterBox(a).Overlaps(letterBox(b)), "%q lies over %q", a.Text, b.Text)
		}
	}
}

// letterBox returns the box of capitals and figures, without the room for accents and tails.
func letterBox(t Text) Box {
	w := t.Width()
	x := map[Anchor]float64{Start: 0, Middle: -w / 2, End: -w}[t.Anchor]
	up := t.Face.CapHeight(t.Size)
	s, c := math.Sincos(t.Rotate * math.Pi / 180)
	at := func(x, y float64) Point { return Point{t.At.X + x*c + y*s, t.At.Y - x*s + y*c} }
	return boundsOf(at(x, -up), at(x+w, -up), at(x, 0), at(x+w, 0))
}

func developedSpec(t *rapid.T) DevelopedSpec {
	s := DevelopedSpec{
		Starts:   rapid.IntRange(1, 8).Draw(t, "starts"),
		Pitch:    rapid.Float64Range(0.5, 12).Draw(t, "pitch"),
		Diameter: rapid.Float64Range(6, 120).Draw(t, "diameter"),
		LeftHand: rapid.Bool().Draw(t, "left"),
		Width:    rapid.Float64Range(150, 180).Draw(t, "width"), Height: 120,
		PitchLabel: "P", LeadLabel: "L", AngleLabel: "φ", TurnLabel: "π·d",
	}
	for j := 1; j < s.Starts; j++ {
		s.OffsetLabels = append(s.OffsetLabels, fmt.Sprint(j, "·P"))
	}
	return s
}

// The numbers are read back out of the drawing: for right-hand and left-hand threads alike.
func TestDevelopedIsToScale(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := developedSpec(t)
		g, err := Developed(s)
		require.NoError(t, err)
		require.LessOrEqual(t, g.Bounds().W, s.Width+0.01)
		lead := float64(s.Starts) * s.Pitch
		require.InDelta(t, s.Pitch, measured(t, g, "dim:pitch"), 1e-9)
		require.InDelta(t, lead, measured(t, g, "dim:lead"), 1e-9)
		require.InDelta(t, math.Pi*s.Diameter, measured(t, g, "dim:circumference"), 1e-9)

		up := 1.0 // the tool's travel on the page
		if s.LeftHand {
			up = -1
		}
		for j := 1; j < s.Starts; j++ {
			class := fmt.Sprintf("dim:offset:%d", j+1)
			require.InDelta(t, float64(j)*s.Pitch, measured(t, g, class), 1e-9)
			l := only[Line](t, g, class)
			require.Positive(t, (l.B.Y-l.A.Y)*up, "start %d lies behind start 1 against the travel", j+1)
		}

		// The lead angle, from the arc and from each groove.
		want := math.Atan(lead/(math.Pi*s.Diameter)) * 180 / math.Pi
		require.InDelta(t, want*up, swept(t, g, "angle:lead"), 1e-9)
		for j := 1; j <= s.Starts; j++ {
			helices := g.Find(fmt.Sprintf("helix:%d", j))
			require.NotEmpty(t, helices)
			for _, it := range helices {
				l, ok := it.(Line)
				require.True(t, ok)
				require.InDelta(t, want*up, math.Atan2(l.A.Y-l.B.Y, l.B.X-l.A.X)*180/math.Pi, 1e-6)
			}
		}
	})
}

// On the unrolled surface the groove of each start passes the offset that its dimension states.
func TestDevelopedGroovesLieAtTheirOffsets(t *testing.T) {
	t.Parallel()
	for _, left := range []bool{false, true} {
		g, err := Developed(DevelopedSpec{Starts: 4, Pitch: 2.5, Diameter: 30, LeftHand: left, Width: 180, Height: 100})
		require.NoError(t, err)
		up := map[bool]float64{false: 1, true: -1}[left]
		frame := only[Rect](t, g, "surface")
		for j := range 4 {
			found := false
			for _, it := range g.Find(fmt.Sprintf("helix:%d", j+1)) {
				l, ok := it.(Line)
				require.True(t, ok)
				if math.Abs(l.A.X-frame.Box.X) < 1e-9 {
					behind := math.Mod(l.A.Y/g.Scale*up-float64(j)*2.5+100, 10) // y is down, so behind is down for right-hand
					found = found || math.Abs(behind) < 1e-6 || math.Abs(behind-10) < 1e-6
				}
			}
			assert.True(t, found, "start %d, left %v", j+1, left)
		}
	}
}

// A drawing of an exercise must not tell in its description what the exercise asks.
func TestDescriptionsTellOnlyWhatIsLabelled(t *testing.T) {
	t.Parallel()
	g, err := Developed(DevelopedSpec{Starts: 4, Pitch: 2.5, Diameter: 31, Width: 90, Height: 70, PitchLabel: "P = 2.5 mm", LeadLabel: "L = ?"})
	require.NoError(t, err)
	assert.Equal(t, "The surface unrolled over one turn, with 4 grooves. Pitch: P = 2.5 mm. Lead: L = ?.", g.Desc)
	form, _ := vForm(2, 0.25, 0.5, 30, 30)
	g, err = ProfileView(ProfileSpec{Form: form, Turns: 3, Width: 90, Height: 60, PitchLabel: "P", DepthLabel: "h = ?"})
	require.NoError(t, err)
	assert.Equal(t, "Section of an external thread. Pitch: P. Depth: h = ?.", g.Desc)
}

func TestDevelopedTextsDoNotCollide(t *testing.T) {
	t.Parallel()
	for _, s := range []DevelopedSpec{
		{Starts: 1, Pitch: 3, Diameter: 20},
		{Starts: 2, Pitch: 3, Diameter: 24, Text: 14},
		{Starts: 3, Pitch: 3, Diameter: 24},
		{Starts: 4, Pitch: 5, Diameter: 20, LeftHand: true},
		{Starts: 6, Pitch: 4, Diameter: 40},
	} {
		s.Width, s.Height = 180, 120
		s.PitchLabel, s.LeadLabel, s.AngleLabel, s.TurnLabel = "P = 3 mm", "lead 9 mm", "6.81°", "π·d = 75.4 mm"
		for j := 1; j < s.Starts; j++ {
			s.OffsetLabels = append(s.OffsetLabels, fmt.Sprint(j*3, " mm"))
		}
		g, err := Developed(s)
		require.NoError(t, err)
		checkDrawing(t, g, s.Width)
	}
}

// stationAngle returns where a station lies, counter-clockwise from the top.
func stationAngle(t require.TestingT, g Group, k int) float64 {
	c := only[Circle](t, g, fmt.Sprintf("station:%d", k))
	return math.Mod(math.Atan2(-c.Centre.Y, c.Centre.X)*180/math.Pi-90+720, 360)
}

func TestEndViewStationsStandAtTheIndexAngle(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "starts")
		every := rapid.IntRange(1, 4).Draw(t, "stations a start")
		s := EndViewSpec{
			Starts: n, Stations: n * every, Width: rapid.Float64Range(75, 120).Draw(t, "width"),
			AgainstRotation: rapid.Bool().Draw(t, "against"), Clockwise: rapid.Bool().Draw(t, "clockwise"), AngleLabel: "360°/n",
		}
		for j := range n {
			s.Use = append(s.Use, 1+j*every)
		}
		g, err := EndView(s)
		require.NoError(t, err)
		require.LessOrEqual(t, g.Bounds().W, s.Width+0.01)

		turn := 1.0
		if s.Clockwise != s.AgainstRotation {
			turn = -1
		}
		for j, k := range s.Use {
			want := math.Mod(turn*float64(j)*360/float64(n)+720, 360)
			got := stationAngle(t, g, k)
			require.InDelta(t, 0, math.Mod(got-want+540, 360)-180, 1e-6, "start %d", j+1)
			require.Equal(t, Ink, only[Circle](t, g, fmt.Sprintf("station:%d", k)).Fill)
			require.Equal(t, fmt.Sprintf("start %d", j+1), only[Text](t, g, fmt.Sprintf("use:%d", j+1)).Text)
		}
		if n > 1 {
			require.InDelta(t, turn*360/float64(n), swept(t, g, "angle:index"), 1e-9)
		}
		arrow := swept(t, g, "rotation")
		require.Equal(t, s.Clockwise, arrow < 0)
		open := 0
		for k := 1; k <= s.Stations; k++ {
			if only[Circle](t, g, fmt.Sprintf("station:%d", k)).Fill == White {
				open++
			}
		}
		require.Equal(t, s.Stations-n, open)
	})
}

func TestEndViewTextsDoNotCollide(t *testing.T) {
	t.Parallel()
	for n, stations := range map[int]int{1: 1, 2: 4, 3: 6, 4: 24, 5: 60, 6: 6, 8: 8} {
		s := EndViewSpec{Starts: n, Stations: stations, Width: 95, AngleLabel: "index"}
		for j := range n {
			s.Use = append(s.Use, 1+j*stations/n)
		}
		g, err := EndView(s)
		require.NoError(t, err)
		checkDrawing(t, g, s.Width)
	}
}

func TestDialFaceMarks(t *testing.T) {
	t.Parallel()
	lines := []DialLine{{"1", DialCatches, 1}, {"2", DialVaries, 0}, {"3", DialOff, 0}, {"4", DialNoClose, 0}, {"5", DialCatches, 2}, {"6", DialOff, 0}, {"7", DialVaries, 0}, {"8", DialNoClose, 0}}
	for _, ccw := range []bool{false, true} {
		g, err := DialFace(DialFaceSpec{Lines: lines, CounterClockwise: ccw, Width: 70})
		require.NoError(t, err)
		checkDrawing(t, g, 85)
		turn := map[bool]float64{false: -1, true: 1}[ccw]
		for i := range lines {
			l := only[Line](t, g, fmt.Sprintf("line:%d", i+1))
			got := math.Atan2(-l.B.Y, l.B.X) * 180 / math.Pi
			want := 90 + turn*float64(i)*45
			assert.InDelta(t, 0, math.Mod(got-want+900, 360)-180, 1e-9, "line %d", i+1)
			assert.InDelta(t, 0, l.A.X*l.B.Y-l.A.Y*l.B.X, 1e-9, "lines point to the middle")
		}
		// Each mark has its own shape, and stands outside its line.
		for class, i := range map[string]int{"catch:1": 0, "varies:2": 1, "off:3": 2, "no-close:4": 3, "catch:5": 4} {
			items := g.Find(class)
			require.Len(t, items, 1, class)
			b := items[0].Bounds()
			mid := Point{b.X + b.W/2, b.Y + b.H/2}
			end := only[Line](t, g, fmt.Sprintf("line:%d", i+1)).B
			assert.Greater(t, mid.Distance(Point{}), end.Distance(Point{}))
			assert.InDelta(t, 1, (mid.X*end.X+mid.Y*end.Y)/mid.Distance(Point{})/end.Distance(Point{}), 0.02)
		}
		assert.IsType(t, Circle{}, g.Find("catch:1")[0])
		assert.IsType(t, Polygon{}, g.Find("varies:2")[0])
		assert.IsType(t, Circle{}, g.Find("off:3")[0])
		assert.IsType(t, Rect{}, g.Find("no-close:4")[0])
		assert.Contains(t, g.Desc, "line 5 catches start 2")
		assert.Contains(t, g.Desc, "line 4 does not let the half-nut close")
		assert.Len(t, g.Find("key"), 4)
	}
}

// vForm is a 60 degree form of the pitch with its flats.
func vForm(pitch, crest, root, in, out float64) ([]Point, float64) {
	k1, k2 := math.Tan(in*math.Pi/180), math.Tan(out*math.Pi/180)
	depth := (pitch - crest - root) / (k1 + k2)
	return []Point{{0, 0}, {crest / 2, 0}, {crest/2 + k1*depth, depth}, {crest/2 + k1*depth + root, depth}, {pitch - crest/2, 0}, {pitch, 0}}, depth
}

func TestProfileViewIsToScale(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		pitch := rapid.Float64Range(0.35, 24).Draw(t, "pitch")
		in, out := rapid.Float64Range(3, 45).Draw(t, "flank in"), rapid.Float64Range(8, 45).Draw(t, "flank out")
		form, depth := vForm(pitch, pitch*rapid.Float64Range(0, 0.4).Draw(t, "crest"), pitch*rapid.Float64Range(0.05, 0.4).Draw(t, "root"), in, out)
		s := ProfileSpec{Form: form, Internal: rapid.Bool().Draw(t, "internal"), Turns: rapid.IntRange(3, 5).Draw(t, "turns"), Width: 120, Height: 90, PitchLabel: "P", DepthLabel: "h", AngleLabel: "α"}
		g, err := ProfileView(s)
		require.NoError(t, err)
		checkDrawing(t, g, s.Width)
		require.LessOrEqual(t, g.Bounds().H, s.Height+0.01)
		require.InDelta(t, pitch, measured(t, g, "dim:pitch"), 1e-9)
		require.InDelta(t, depth, measured(t, g, "dim:depth"), 1e-9)
		require.InDelta(t, in+out, swept(t, g, "angle:included"), 1e-6)

		// The surface itself: crests outside, roots inside the metal, the axis below.
		surface, metal, axis := only[Polyline](t, g, "surface").Bounds(), only[Polygon](t, g, "metal").Bounds(), only[Line](t, g, "axis")
		require.InDelta(t, depth*g.Scale, surface.H, 1e-9)
		require.InDelta(t, pitch*float64(s.Turns)*g.Scale, surface.W, 1e-9)
		require.Greater(t, axis.A.Y, surface.Y+surface.H)
		if s.Internal {
			require.Less(t, metal.Y, surface.Y-1, "metal outside")
		} else {
			require.Greater(t, metal.Y+metal.H, surface.Y+surface.H+1, "metal inside")
		}
	})
}

func TestProfileOfParallelFlanksHasNoAngle(t *testing.T) {
	t.Parallel()
	g, err := ProfileView(ProfileSpec{Form: []Point{{0, 0}, {1, 0}, {1, 2}, {3, 2}, {3, 0}, {4, 0}}, Turns: 3, Width: 120, Height: 70, PitchLabel: "P", DepthLabel: "h", AngleLabel: "0°"})
	require.NoError(t, err)
	assert.Empty(t, g.Find("angle:included"))
	assert.InDelta(t, 2, measured(t, g, "dim:depth"), 1e-12)
	checkDrawing(t, g, 125)
}

func TestProfileRoundedRootAndShiftedStart(t *testing.T) {
	t.Parallel()
	// A rounded root, and a form that begins in the middle of a groove.
	var form []Point
	for i := range 21 {
		x := float64(i) / 20 * 4
		form = append(form, Point{x, 1 + math.Cos(x/4*2*math.Pi)})
	}
	g, err := ProfileView(ProfileSpec{Form: form, Turns: 3, Width: 140, Height: 80, PitchLabel: "P", DepthLabel: "h"})
	require.NoError(t, err)
	assert.InDelta(t, 4, measured(t, g, "dim:pitch"), 1e-9)
	assert.InDelta(t, 2, measured(t, g, "dim:depth"), 1e-9)
}

func TestCollarShowsItsReading(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		divisions := rapid.SampledFrom([]int{40, 50, 80, 100, 125, 200, 250}).Draw(t, "divisions")
		s := CollarSpec{
			Divisions: divisions, Reading: rapid.Float64Range(0, 5*float64(divisions)).Draw(t, "reading"),
			RightToLeft: rapid.Bool().Draw(t, "right to left"), Width: 90, Label: "compound",
		}
		g, err := CollarView(s)
		require.NoError(t, err)
		checkDrawing(t, g, 90)
		index := only[Line](t, g, "index")
		ticks := 0
		for k := range divisions {
			for _, it := range g.Find(fmt.Sprintf("tick:%d", k)) {
				l, ok := it.(Line)
				require.True(t, ok)
				ticks++
				away := (index.A.X - l.A.X) / g.Scale // divisions from the tick to the index
				if s.RightToLeft {
					away = -away
				}
				require.InDelta(t, 0, math.Mod(float64(k)+away-s.Reading+1e6*float64(divisions)+float64(divisions)/2, float64(divisions))-float64(divisions)/2, 1e-6, "tick %d", k)
			}
		}
		require.Greater(t, ticks, 20)
		require.Contains(t, only[Text](t, g, "reading").Text, counted(int(s.Reading)/divisions, "turn"))
	})
}

func TestBlankCollarDoesNotTell(t *testing.T) {
	t.Parallel()
	g, err := CollarView(CollarSpec{Divisions: 100, Reading: 213.4, Blank: true, Width: 90})
	require.NoError(t, err)
	assert.Empty(t, g.Find("reading"))
	assert.NotContains(t, g.Desc+g.Title, "13.4")
	assert.NotContains(t, g.Desc+g.Title, "2 whole")
}

func TestPassStaircaseTreads(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		steps := rapid.SliceOfN(rapid.Float64Range(0, 0.4), 1, 40).Draw(t, "steps")
		s := StaircaseSpec{Width: rapid.Float64Range(80, 180).Draw(t, "width"), Height: 70, DepthLabel: "h"}
		depth := 0.1
		for i, d := range steps {
			depth += d
			s.Depths = append(s.Depths, depth)
			s.Readings = append(s.Readings, fmt.Sprintf("%d t + %.1f", i%3, depth*50))
		}
		g, err := PassStaircase(s)
		require.NoError(t, err)
		checkDrawing(t, g, s.Width)
		require.LessOrEqual(t, g.Bounds().H, s.Height+0.01)
		require.InDelta(t, depth, measured(t, g, "dim:depth"), 1e-9)
		zero := only[Line](t, g, "surface").A.Y
		for i, d := range s.Depths {
			l := only[Line](t, g, fmt.Sprintf("tread:%d", i+1))
			require.InDelta(t, d, (l.A.Y-zero)/g.Scale, 1e-9)
			require.InDelta(t, l.A.Y, l.B.Y, 1e-12)
		}
		last := g.Find("reading")
		text, ok := last[len(last)-1].(Text)
		require.True(t, ok)
		require.Equal(t, s.Readings[len(s.Readings)-1], text.Text)
	})
}

func TestDrawingsRefuseBadNumbers(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	for want, err := range map[string]error{
		"number of starts 0 is not between":  second(Developed(DevelopedSpec{Pitch: 1, Diameter: 10, Width: 100, Height: 50})),
		"pitch NaN is not between":           second(Developed(DevelopedSpec{Starts: 1, Pitch: nan, Diameter: 10, Width: 100, Height: 50})),
		"there is no station 7 of 6":         second(EndView(EndViewSpec{Starts: 1, Stations: 6, Use: []int{7}, Width: 90})),
		"station 1 is used twice":            second(EndView(EndViewSpec{Starts: 2, Stations: 6, Use: []int{1, 1}, Width: 90})),
		"1 stations in use for 2 starts":     second(EndView(EndViewSpec{Starts: 2, Stations: 6, Use: []int{1}, Width: 90})),
		"end view with its labels needs":     second(EndView(EndViewSpec{Starts: 1, Stations: 6, Use: []int{1}, Width: 50, Text: 18})),
		"number of dial lines 0":             second(DialFace(DialFaceSpec{Width: 60})),
		`line "1" has mark 0 and start 0`:    second(DialFace(DialFaceSpec{Lines: []DialLine{{Number: "1"}}, Width: 60})),
		"the ring of marks needs":            second(DialFace(DialFaceSpec{Lines: make32(), Width: 60, Text: 18})),
		"the form has 0 points":              second(ProfileView(ProfileSpec{Turns: 3, Width: 100, Height: 60})),
		"the form goes back at point 3":      second(ProfileView(ProfileSpec{Form: []Point{{0, 0}, {1, 1}, {0.5, 1}, {2, 0}}, Turns: 3, Width: 100, Height: 60})),
		"the form must run from x = 0":       second(ProfileView(ProfileSpec{Form: []Point{{0, 0}, {1, 1}, {2, 0.5}}, Turns: 3, Width: 100, Height: 60})),
		"x of the form NaN":                  second(ProfileView(ProfileSpec{Form: []Point{{0, 0}, {nan, 1}, {2, 0}}, Turns: 3, Width: 100, Height: 60})),
		"reading -1 is not between":          second(CollarView(CollarSpec{Divisions: 100, Reading: -1, Width: 90})),
		"number of passes 0":                 second(PassStaircase(StaircaseSpec{Width: 90, Height: 60})),
		"depth after pass 2 0.1":             second(PassStaircase(StaircaseSpec{Depths: []float64{0.2, 0.1}, Width: 90, Height: 60})),
		"1 readings for 2 passes":            second(PassStaircase(StaircaseSpec{Depths: []float64{0.2, 0.3}, Readings: []string{"1"}, Width: 90, Height: 60})),
		"the whole depth 0 is too small":     second(PassStaircase(StaircaseSpec{Depths: []float64{0}, Width: 90, Height: 60})),
		"the passes with their readings nee": second(PassStaircase(StaircaseSpec{Depths: []float64{1}, Readings: []string{strings.Repeat("9", 60)}, Width: 40, Height: 25})),
	} {
		require.ErrorContains(t, err, want)
	}
}

func second(_ Group, err error) error { return err }

func make32() []DialLine {
	out := make([]DialLine, 32)
	for i := range out {
		out[i] = DialLine{Number: fmt.Sprint(i + 1), Mark: DialOff}
	}
	return out
}

func TestDrawingsGolden(t *testing.T) {
	t.Parallel()
	iso, _ := vForm(2, 0.25, 0.5, 30, 30)
	var items []Item
	for _, d := range []drawn{
		pair(Developed(DevelopedSpec{Starts: 2, Pitch: 3, Diameter: 24, Width: 175, Height: 80, PitchLabel: "P = 3 mm", LeadLabel: "lead 6 mm", AngleLabel: "4.55°", TurnLabel: "π·d", OffsetLabels: []string{"3 mm"}})),
		pair(EndView(EndViewSpec{Starts: 2, Stations: 4, Use: []int{1, 3}, Width: 80, AngleLabel: "180°"})),
		pair(DialFace(DialFaceSpec{Lines: []DialLine{{"1", DialCatches, 1}, {"2", DialOff, 0}, {"3", DialVaries, 0}, {"4", DialNoClose, 0}}, Width: 60})),
		pair(ProfileView(ProfileSpec{Form: iso, Turns: 3, Internal: true, Width: 120, Height: 70, PitchLabel: "P", DepthLabel: "h", AngleLabel: "60°"})),
		pair(CollarView(CollarSpec{Divisions: 100, Reading: 213.4, Width: 60, Label: "compound"})),
		pair(PassStaircase(StaircaseSpec{Depths: []float64{0.3, 0.5, 0.6}, Readings: []string{"0.30", "0.50", "0.60"}, Width: 80, Height: 50, DepthLabel: "h = 0.6"})),
	} {
		require.NoError(t, d.err)
		items = append(items, d.g)
	}
	golden(t, "drawings", items)
}

// drawn is what a drawing function returns.
type drawn struct {
	g   Group
	err error
}

func pair(g Group, err error) drawn { return drawn{g, err} }
