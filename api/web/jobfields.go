package web

import (
	"encoding/json"
	"strconv"

	"halfnut/threadmath"
)

// How many dials and holders a form asks for.
const (
	formDials   = 3
	formHolders = 4
)

var yesNo = []option{{"", "not said"}, {"yes", "yes"}, {"no", "no"}}

// threadFields describe what is to be cut.
func threadFields() fieldGroup {
	forms := []option{{"", "not said"}}
	for _, f := range threadmath.Forms() {
		forms = append(forms, option{f.Slug, english(f.Title)})
	}
	return fieldGroup{Title: "Thread", Open: true, Fields: []field{
		{Name: "designation", Pointer: "/thread/designation", Label: "Designation", Example: "Tr 40 x 14 P7", Hint: "or the fields that follow"},
		{Name: "form", Pointer: "/thread/form", Label: "Form", Kind: choiceField, Options: forms},
		{Name: "pitch", Pointer: "/thread/pitch", Label: "Pitch", Example: "2 mm, 12 tpi"},
		{Name: "lead", Pointer: "/thread/lead", Label: "Or lead", Example: "6 mm"},
		{Name: "starts", Pointer: "/thread/starts", Label: "Starts", Kind: numberField},
		{Name: "diameter", Pointer: "/thread/diameter", Label: "Diameter", Example: "30 mm, 1 1/4 in"},
		{Name: "length", Pointer: "/thread/length", Label: "Threaded length", Example: "45 mm"},
		{Name: "class", Pointer: "/thread/class", Label: "Tolerance class", Example: "6g, 7e, 2A"},
		{Name: "side", Pointer: "/thread/side", Label: "Side", Kind: choiceField, Options: []option{{"external", "external"}, {"internal", "internal"}}},
		{Name: "hand", Pointer: "/thread/hand", Label: "Hand", Kind: choiceField, Options: []option{{"right", "hand|right"}, {"left", "hand|left"}}},
		{Name: "leading_flank", Pointer: "/thread/leading_flank", Label: "Leading flank", Kind: choiceField, Options: []option{{"", "not said"}, {"load", "load flank"}, {"clearance", "clearance flank"}}, Hint: "buttress only"},
	}}
}

func marshalThread(t threadmath.Thread) ([]byte, error) {
	return json.Marshal(struct {
		Thread threadmath.Thread `json:"thread"`
	}{t})
}

// latheFields describe the machine, with room for so many dials and holders.
func latheFields(dials, plates int) []fieldGroup {
	at := func(list string, i int, name string) string {
		return "/lathe/" + list + "/" + strconv.Itoa(i) + "/" + name
	}
	screw := fieldGroup{Title: "Leadscrew and thread dial", Open: true, Fields: []field{
		{Name: "leadscrew", Pointer: "/lathe/leadscrew", Label: "Leadscrew, travel a turn", Example: "6 mm, 8 tpi"},
		{Name: "half_nut", Pointer: "/lathe/half_nut", Label: "Half-nut that opens", Kind: yesNoField, Options: yesNo},
		{Name: "no_dial", Pointer: "/lathe/thread_dials", Label: "It has no thread dial", Kind: noneField},
	}}
	more := fieldGroup{Title: "Further thread dials"}
	for i := range dials {
		n := strconv.Itoa(i + 1)
		suffix, group := "", &screw
		var teeth, lines, runs english = "Thread dial: teeth", "Thread dial: lines", "Thread dial: numbers"
		if i > 0 {
			suffix, group = n, &more
			teeth, lines, runs = "Dial %s: teeth", "Dial %s: lines", "Dial %s: numbers"
		}
		group.Fields = append(group.Fields,
			field{Name: "dial" + suffix + "_teeth", Pointer: at("thread_dials", i, "teeth"), Label: teeth, Number: suffix, Kind: numberField},
			field{Name: "dial" + suffix + "_lines", Pointer: at("thread_dials", i, "graduations"), Label: lines, Number: suffix, Kind: numberField},
			field{Name: "dial" + suffix + "_runs", Pointer: at("thread_dials", i, "runs"), Label: runs, Number: suffix, Kind: choiceField,
				Options: []option{{"", "not said"}, {threadmath.DialRunsUp, "come up in order"}, {threadmath.DialRunsDown, "run backwards"}}})
	}
	holders := fieldGroup{Title: "Chuck, plates and index holes", Fields: []field{
		{Name: "no_holder", Pointer: "/lathe/holders", Label: "None can be turned by stations", Kind: noneField},
	}}
	kinds := []option{{"", "not said"}, {"chuck-jaws", "chuck jaws"}, {"faceplate-slots", "faceplate slots"}, {"drive-plate-slots", "drive-plate slots"}, {"index-holes", "index holes"}}
	for i := range plates {
		n := strconv.Itoa(i + 1)
		holders.Fields = append(holders.Fields,
			field{Name: "holder" + n, Pointer: at("holders", i, "kind"), Label: "Kind %s", Number: n, Kind: choiceField, Options: kinds},
			field{Name: "stations" + n, Pointer: at("holders", i, "stations"), Label: "Stations %s", Number: n, Kind: numberField, Example: "3"},
			field{Name: "station_error" + n, Pointer: at("holders", i, "error_deg"), Label: "Error %s, degrees", Number: n, Kind: numberField, Example: "0.05"})
	}
	return []fieldGroup{
		screw,
		more,
		{Title: "Slides and their collars", Fields: []field{
			{Name: "graduation", Pointer: "/lathe/compound_slide/graduation", Label: "Compound collar: division", Example: "0.02 mm"},
			{Name: "per_turn", Pointer: "/lathe/compound_slide/per_turn", Label: "Compound collar: a turn", Example: "2 mm"},
			{Name: "travel", Pointer: "/lathe/compound_slide/travel", Label: "Compound slide: travel", Example: "80 mm"},
			{Name: "reads", Pointer: "/lathe/compound_slide/reads", Label: "Compound collar reads", Kind: choiceField, Options: collarReads},
			{Name: "backlash", Pointer: "/lathe/compound_slide/backlash", Label: "Compound slide: backlash", Example: "0.1 mm"},
			{Name: "base_error", Pointer: "/lathe/compound_slide/base_error_deg", Label: "Compound base: error of an angle, degrees", Kind: numberField, Example: "0.25"},
			{Name: "cross_graduation", Pointer: "/lathe/cross_slide/graduation", Label: "Cross-slide collar: division", Example: "0.02 mm"},
			{Name: "cross_per_turn", Pointer: "/lathe/cross_slide/per_turn", Label: "Cross-slide collar: a turn", Example: "4 mm"},
			{Name: "cross_reads", Pointer: "/lathe/cross_slide/reads", Label: "Cross-slide collar reads", Kind: choiceField, Options: collarReads},
		}},
		holders,
		{Title: "Gears, gearbox and speeds", Fields: []field{
			{Name: "leadscrew_starts", Pointer: "/lathe/leadscrew_starts", Label: "Starts of the leadscrew", Kind: numberField},
			{Name: "stud_teeth", Pointer: "/lathe/stud_gear/teeth", Label: "Stud gear: teeth", Kind: numberField},
			{Name: "stud_turns", Pointer: "/lathe/stud_gear/turns_per_spindle_turn", Label: "Stud gear: turns a spindle turn", Example: "1, 1/2"},
			{Name: "leadscrew_gear", Pointer: "/lathe/leadscrew_gear/teeth", Label: "Leadscrew gear: teeth", Kind: numberField},
			{Name: "train_opens", Pointer: "/lathe/train_opens", Label: "The gear train can be opened", Kind: yesNoField, Options: yesNo},
			{Name: "bracket_least", Pointer: "/lathe/bracket/least_teeth", Label: "Bracket: least teeth of four wheels", Kind: numberField},
			{Name: "bracket_greatest", Pointer: "/lathe/bracket/greatest_teeth", Label: "Bracket: greatest teeth of four wheels", Kind: numberField},
			{Name: "change_gears", Pointer: "/lathe/change_gears", Label: "Change gears on hand", Kind: numbersField, Example: "20 30 40 60 127"},
			{Name: "gearbox", Pointer: "/lathe/gearbox", Label: "Gearbox settings", Kind: textsField, Example: "3 mm; 4 mm; 8 tpi"},
			{Name: "speeds", Pointer: "/lathe/spindle_speeds", Label: "Spindle speeds, rev/min", Kind: numbersField, Example: "40 70 120"},
			{Name: "closing_rpm", Pointer: "/lathe/closing_rpm", Label: "Half-nut closed at a leadscrew speed up to, rev/min", Kind: numberField, Example: "150"},
			{Name: "carriage_travel", Pointer: "/lathe/carriage_travel", Label: "Longest measured shift of the carriage", Example: "300 mm"},
		}},
	}
}

var collarReads = []option{{"", "not said"}, {"radius", "radius"}, {"diameter", "diameter"}}

// cutFields describe how the thread is cut and measured.
func cutFields() []fieldGroup {
	return []fieldGroup{
		{Title: "Cut and run-out", Fields: []field{
			{Name: "first_cut", Pointer: "/cut/first_cut", Label: "First cut, radial", Example: "0.25 mm"},
			{Name: "least_cut", Pointer: "/cut/least_cut", Label: "Least cut, radial", Example: "0.03 mm"},
			{Name: "spring_passes", Pointer: "/cut/spring_passes", Label: "Spring passes", Kind: numberField},
			{Name: "infeed_angle", Pointer: "/cut/infeed_angle_deg", Label: "Infeed angle from the cross-slide, degrees", Kind: numberField, Example: "29.5"},
			{Name: "spindle_rpm", Pointer: "/cut/spindle_rpm", Label: "Spindle, rev/min", Kind: numberField},
			{Name: "groove", Pointer: "/cut/groove", Label: "Run-out groove", Example: "8 mm"},
			{Name: "withdrawal_mark", Pointer: "/cut/withdrawal_mark", Label: "Withdrawal mark, from the beginning", Example: "46 mm", Hint: "where the hand acts, if later than at the end of the thread"},
			{Name: "room", Pointer: "/cut/room", Label: "Room beyond the thread", Example: "12 mm", Hint: "to the first solid thing: shoulder, bottom of the bore, jaw, dog"},
			{Name: "starting_groove", Pointer: "/cut/starting_groove", Label: "Starting groove", Example: "12 mm", Hint: "left-hand threads begin in one"},
			{Name: "measured_blank", Pointer: "/cut/measured_blank", Label: "Blank as measured", Example: "29.85 mm"},
			{Name: "tool_width", Pointer: "/cut/tool_width", Label: "Tool width", Example: "3 mm"},
		}},
		{Title: "Tool, run-out, measuring and time", Fields: []field{
			{Name: "tool_flat", Pointer: "/cut/tool_flat", Label: "Flat of the tool's nose", Example: "0.25 mm"},
			{Name: "relief", Pointer: "/cut/relief_deg", Label: "Side relief, degrees", Kind: numberField, Example: "8"},
			{Name: "finishing_passes", Pointer: "/cut/finishing_passes", Label: "Finishing passes", Kind: numberField},
			{Name: "reaction", Pointer: "/cut/reaction_s", Label: "Reaction, seconds", Kind: numberField, Example: "0.7"},
			{Name: "coast_turns", Pointer: "/cut/coast_turns", Label: "Turns the spindle coasts", Kind: numberField, Example: "1.5"},
			{Name: "blind", Pointer: "/cut/blind", Label: "Blind bore: the tool has no way out", Kind: factField},
			{Name: "greatest_count", Pointer: "/cut/greatest_count", Label: "Threads or teeth counted without a slip", Kind: numberField, Example: "12"},
			{Name: "wire", Pointer: "/cut/wire", Label: "Wire", Example: "1.155 mm"},
			{Name: "over_wires", Pointer: "/cut/over_wires", Label: "Reading over wires", Example: "30.44 mm"},
			{Name: "material", Pointer: "/cut/material", Label: "Material", Example: "brass, mild steel"},
			{Name: "set_up", Pointer: "/cut/set_up_min", Label: "Set-up, minutes", Kind: numberField},
			{Name: "handling", Pointer: "/cut/handling_s", Label: "Handling a pass, seconds", Kind: numberField},
			{Name: "index_min", Pointer: "/cut/index_min", Label: "Going to the next start, minutes", Kind: numberField},
			{Name: "measure_min", Pointer: "/cut/measure_min", Label: "Measuring a start, minutes", Kind: numberField},
			{Name: "load", Pointer: "/cut/load_n", Label: "Load on the screw, newtons", Kind: numberField},
			{Name: "friction", Pointer: "/cut/friction", Label: "Coefficient of friction", Kind: numberField, Example: "0.12"},
		}},
	}
}

// benchForm asks for a whole job.
var benchForm = jobForm{Groups: append(append([]fieldGroup{threadFields()}, latheFields(formDials, formHolders)...), cutFields()...)}

// latheForm asks for a lathe alone, with room for one more dial and holder than
// it has, so that saving the form loses none.
func latheForm(l threadmath.Lathe) jobForm {
	return jobForm{Root: latheRoot, Groups: latheFields(max(formDials, len(l.ThreadDials)+1), max(formHolders, len(l.Holders)+1))}
}

const latheRoot = "/lathe"
