package web

import (
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
)

// sittingData is a sitting as it is answered, or as it went.
type sittingData struct {
	Sitting   curriculum.Sitting
	Exercises []sittingExercise
	State     practice.SignOffState
	Result    *signoff.Sat
}

type sittingExercise struct {
	Position int
	Exercise curriculum.Exercise
	Typed    map[string]string
	Verdicts map[string]curriculum.Verdict
}

func (w *Pages) sittingData(c *gin.Context, a practice.Actor) (d sittingData, err error) {
	ctx := c.Request.Context()
	if d.Sitting, err = w.practice.Sitting(ctx, a, c.Param("id")); err != nil {
		return d, err
	}
	t := d.Sitting
	if d.State, err = w.practice.SignOff(ctx, a, t.Learner, t.Lathe, t.Operation); err != nil {
		return d, err
	}
	over := !t.HandedIn.IsZero()
	for i, e := range t.Exercises {
		x := sittingExercise{Position: i + 1, Exercise: e.Public(), Typed: map[string]string{}, Verdicts: map[string]curriculum.Verdict{}}
		if c.Request.Method == http.MethodPost {
			x.Typed = sittingTyped(c, x)
		}
		if over && i < len(t.Answers) {
			x.Typed = t.Answers[i]
			for _, v := range t.Verdicts[i] {
				x.Verdicts[v.Part] = v
			}
		}
		d.Exercises = append(d.Exercises, x)
	}
	if over {
		rules, err := w.practice.SignOffRules(ctx, a)
		if err != nil {
			return d, err
		}
		result := signoff.Mark(t.Kind, t.Exercises, t.Verdicts, rules.PassMark)
		d.Result = &result
	}
	return d, nil
}

func sittingTyped(c *gin.Context, x sittingExercise) map[string]string {
	out := map[string]string{}
	for _, p := range x.Exercise.Parts {
		if text := strings.TrimSpace(c.PostForm("a" + strconv.Itoa(x.Position) + "." + p.ID)); text != "" {
			out[p.ID] = text
		}
	}
	return out
}

func (w *Pages) sitting(c *gin.Context, a practice.Actor) error {
	d, err := w.sittingData(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "sitting.html", view{Title: w.t(c, "Sitting"), Role: a.Role, Data: d})
	return nil
}

func (w *Pages) handIn(c *gin.Context, a practice.Actor) error {
	d, err := w.sittingData(c, a)
	if err != nil {
		return err
	}
	answers := make([]map[string]string, len(d.Exercises))
	for i, x := range d.Exercises {
		answers[i] = sittingTyped(c, x)
	}
	if _, err := w.practice.HandIn(c.Request.Context(), a, d.Sitting.ID, answers); err != nil {
		return w.again(c, err, "sitting.html", view{Title: w.t(c, "Sitting"), Role: a.Role, Where: sittingInputs, Data: d})
	}
	c.Redirect(http.StatusSeeOther, "/signoff/sittings/"+d.Sitting.ID)
	return nil
}

// sittingInputs finds the inputs of a sitting.
func sittingInputs(pointer string) (id string, label phrase) {
	p := strings.Split(pointer, "/")
	if len(p) != 4 || p[1] != "answers" {
		return "", phrase{}
	}
	i, err := strconv.Atoi(p[2])
	if err != nil {
		return "", phrase{}
	}
	n := strconv.Itoa(i + 1)
	return "a" + n + "." + p[3], phraseOf("Exercise %s", n+p[3])
}

func (w *Pages) signOffRules(c *gin.Context, a practice.Actor) error {
	rules, version, err := w.practice.VersionedRules(c.Request.Context(), a)
	if err != nil {
		return err
	}
	form := rulesForm(rules)
	form.Set("version", strconv.Itoa(version))
	w.show(c, http.StatusOK, "signoff-rules.html", view{Title: w.t(c, "Sign-off rules"), Role: a.Role, Form: form, Data: c.Query("done")})
	return nil
}

// ruleLabels are the inputs of the rules.
var ruleLabels = map[string]english{
	"pass_mark": "Pass mark of the theory, %", "wait_hours": "Hours between tries", "sitting_minutes": "Minutes of a sitting", "valid_months": "Months a sign-off is good for",
	"lapse_days": "Days without use until it lapses", "minimum_age": "Minimum age", "zone": "Time zone",
}

func (w *Pages) setSignOffRules(c *gin.Context, a practice.Actor) error {
	number := func(name string) int {
		n, err := strconv.Atoi(strings.TrimSpace(c.PostForm(name)))
		if err != nil {
			return -1 // refused below, with the range
		}
		return n
	}
	rules := signoff.Settings{
		MinimumAge: number("minimum_age"), PassMark: number("pass_mark"), WaitHours: number("wait_hours"), SittingMinutes: number("sitting_minutes"),
		ValidMonths: number("valid_months"), LapseDays: number("lapse_days"),
		SecondPerson: c.PostForm("second_person") == "yes", SecondWitness: c.PostForm("second_witness") == "yes", Zone: strings.TrimSpace(c.PostForm("zone")),
	}
	version, err := versionIn(c)
	if err == nil && version == 0 {
		err = wrong("/version", "0", "not a version; open the page again", "")
	}
	if err == nil {
		_, err = w.practice.ChangeRules(c.Request.Context(), a, version, rules)
	}
	if err != nil {
		return w.again(c, overtaken(err), "signoff-rules.html", view{Title: w.t(c, "Sign-off rules"), Role: a.Role, Where: func(pointer string) (id string, label phrase) {
			id = strings.TrimPrefix(pointer, "/")
			return id, phraseOf(ruleLabels[id])
		}})
	}
	c.Redirect(http.StatusSeeOther, "/signoff/rules?done=1")
	return nil
}
