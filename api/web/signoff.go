package web

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
)

// signOffHome is the door to the sign-offs: the search and the lathes for staff,
// the own state for a learner.
type signOffHome struct {
	Lathes []curriculum.Lathe
	Query  string
	Found  []curriculum.Learner
	Own    *signOffFile
}

// signOffFile is a learner's sign-offs by lathe.
type signOffFile struct {
	Learner curriculum.Learner
	Lathes  [][]practice.SignOffState
	Open    []curriculum.Sitting
	History []practice.SignOffEntry
}

func (w *Pages) signOffFile(c *gin.Context, a practice.Actor, learner string) (signOffFile, error) {
	ctx := c.Request.Context()
	file, err := w.practice.SignOffs(ctx, a, learner)
	if err != nil {
		return signOffFile{}, err
	}
	out := signOffFile{Learner: file.Learner}
	n := len(signoff.Operations())
	for states := range slices.Chunk(file.States, n) {
		out.Lathes = append(out.Lathes, states)
	}
	if out.Open, err = w.practice.OpenSittings(ctx, a, learner); err != nil {
		return signOffFile{}, err
	}
	if a.Role != practice.RoleLearner {
		out.History, err = w.practice.SignOffHistory(ctx, a, learner)
	}
	return out, err
}

func (w *Pages) signOffs(c *gin.Context, a practice.Actor) error {
	d := signOffHome{Query: c.Query("q")}
	if a.Role == practice.RoleLearner {
		file, err := w.signOffFile(c, a, a.ID)
		if err != nil {
			return err
		}
		d.Own = &file
		w.show(c, http.StatusOK, "signoff.html", view{Title: w.t(c, "My sign-offs"), Role: a.Role, Data: d})
		return nil
	}
	var err error
	if d.Lathes, err = w.practice.Lathes(c.Request.Context(), a); err != nil {
		return err
	}
	if c.Request.URL.Query().Has("q") {
		if d.Found, err = w.practice.FindSignOff(c.Request.Context(), a, d.Query); err != nil {
			return err
		}
		if len(d.Found) == 1 {
			c.Redirect(http.StatusSeeOther, "/signoff/learners/"+d.Found[0].ID)
			return nil
		}
	}
	w.show(c, http.StatusOK, "signoff.html", view{Title: w.t(c, "Sign-offs"), Role: a.Role, Data: d})
	return nil
}

// signOffCardCode is where the code on a card leads.
func (w *Pages) signOffCardCode(c *gin.Context, a practice.Actor) error {
	found, err := w.practice.FindSignOff(c.Request.Context(), a, c.Param("code"))
	if err != nil {
		return err
	}
	if len(found) != 1 {
		return curriculum.ErrNotFound
	}
	c.Redirect(http.StatusSeeOther, "/signoff/learners/"+found[0].ID)
	return nil
}

func (w *Pages) signOffLearner(c *gin.Context, a practice.Actor) error {
	d, err := w.signOffFile(c, a, c.Param("id"))
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "signoff-learner.html", view{Title: d.Learner.Name, Role: a.Role, Data: d})
	return nil
}

type todayData struct {
	practice.LatheToday
	Staff staff
}

func (w *Pages) signOffToday(c *gin.Context, a practice.Actor) error {
	d, err := w.practice.SignOffToday(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	names, err := w.practice.StaffNames(c.Request.Context(), a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "signoff-today.html", view{Title: w.t(c, "%s today", d.Lathe.Name), Role: a.Role, Data: todayData{d, names}})
	return nil
}

// signOffData is one learner, lathe and operation, with the forms of what can be
// entered about it.
type signOffData struct {
	practice.SignOffState
	Operation signoff.Operation
	Dress     []signoff.Item
	Rules     signoff.Settings
	Thread    string
	Measures  []signoff.Measure
	// Address is the page's own, Done what was just entered.
	Address, Done string
}

func (w *Pages) signOffData(c *gin.Context, a practice.Actor) (d signOffData, err error) {
	ctx := c.Request.Context()
	at := placeOf(c)
	if d.SignOffState, err = w.practice.SignOff(ctx, a, at.Learner, at.Lathe, at.Operation); err != nil {
		return d, err
	}
	if d.Rules, err = w.practice.SignOffRules(ctx, a); err != nil {
		return d, err
	}
	d.Operation, _ = signoff.OperationOf(at.Operation)
	d.Dress = signoff.DressItems()
	d.Address = "/signoff/learners/" + at.Learner + "/lathes/" + at.Lathe + "/" + at.Operation
	d.Done = c.Query("done")
	d.Thread = c.Query("thread")
	if c.Request.Method == http.MethodPost {
		d.Thread = c.PostForm("thread")
	}
	if d.Thread != "" {
		// A thread that cannot be read is told by whoever asked for it.
		d.Measures, _, _ = practice.MeasuresFor(at.Operation, d.Thread)
	}
	return d, nil
}

func placeOf(c *gin.Context) practice.Place {
	return practice.Place{Learner: c.Param("id"), Lathe: c.Param("lathe"), Operation: c.Param("operation")}
}

func (w *Pages) signOff(c *gin.Context, a practice.Actor) error {
	d, err := w.signOffData(c, a)
	if err != nil {
		return err
	}
	v := view{Title: w.reader(c).lookUp(d.Title) + ", " + d.Name, Role: a.Role, Data: d}
	if d.Thread != "" && d.Measures == nil {
		_, _, err := practice.MeasuresFor(d.Operation.Slug, d.Thread)
		v.Where = signOffInputs("piece", d)
		typed := c.Request.URL.Query()
		typed.Set("act", "piece")
		return w.againPart(c, err, "signoff-file.html", "layout.html", v, typed)
	}
	w.show(c, http.StatusOK, "signoff-file.html", v)
	return nil
}

// signOffActs are the forms of the page by the last word of their address.
var signOffActs = map[string]func(w *Pages, c *gin.Context, a practice.Actor, at practice.Place) error{
	"witness": func(w *Pages, c *gin.Context, a practice.Actor, at practice.Place) error {
		o, _ := signoff.OperationOf(at.Operation)
		in := practice.Witnessing{Place: at, Job: c.PostForm("job"), Note: c.PostForm("note"), Items: map[string]string{}}
		for _, it := range o.Checklist {
			if mark := c.PostForm("item." + it.ID); mark != "" {
				in.Items[it.ID] = mark
			}
		}
		_, err := w.practice.Witness(c.Request.Context(), a, in)
		return err
	},
	"check-in": func(w *Pages, c *gin.Context, a practice.Actor, at practice.Place) error {
		in := practice.CheckingIn{Place: at, Job: c.PostForm("job"), Dress: c.PostFormArray("dress")}
		if name := strings.TrimSpace(c.PostForm("second")); name != "" {
			var err error
			if in.Second, err = w.practice.FindPresent(c.Request.Context(), a, name); err != nil {
				return err
			}
		}
		_, err := w.practice.CheckIn(c.Request.Context(), a, in)
		return err
	},
	"piece": func(w *Pages, c *gin.Context, a practice.Actor, at practice.Place) error {
		in := practice.Measuring{Place: at, Thread: c.PostForm("thread"), Instrument: c.PostForm("instrument")}
		wanted, _, err := practice.MeasuresFor(at.Operation, in.Thread)
		if err != nil {
			return err
		}
		for i, m := range wanted {
			n := strconv.Itoa(i)
			in.Measures = append(in.Measures, signoff.Measure{
				What: m.What, Low: strings.TrimSpace(c.PostForm("low." + n)), High: strings.TrimSpace(c.PostForm("high." + n)),
				Measured: strings.TrimSpace(c.PostForm("measured." + n)), U: strings.TrimSpace(c.PostForm("u." + n)),
			})
		}
		_, err = w.practice.Measure(c.Request.Context(), a, in)
		return err
	},
	"decide": func(w *Pages, c *gin.Context, a practice.Actor, at practice.Place) error {
		if g := c.PostForm("granted"); g != "yes" && g != "no" {
			return wrong("/granted", g, "choose one of the two", "")
		}
		_, err := w.practice.Decide(c.Request.Context(), a, practice.Deciding{
			Place: at, Granted: c.PostForm("granted") == "yes", Age: c.PostForm("age") == "yes", Restriction: c.PostForm("restriction"), Reason: c.PostForm("reason"),
		})
		return err
	},
	"restrict": func(w *Pages, c *gin.Context, a practice.Actor, at practice.Place) error {
		_, err := w.practice.Restrict(c.Request.Context(), a, practice.Changing{Place: at, Restriction: c.PostForm("restriction"), Reason: c.PostForm("reason")})
		return err
	},
	"revoke": func(w *Pages, c *gin.Context, a practice.Actor, at practice.Place) error {
		_, err := w.practice.Revoke(c.Request.Context(), a, practice.Changing{Place: at, Reason: c.PostForm("reason")})
		return err
	},
}

// signOffAct takes one of the page's forms.
func (w *Pages) signOffAct(c *gin.Context, a practice.Actor) error {
	name := c.Param("act")
	at := placeOf(c)
	back := "/signoff/learners/" + at.Learner + "/lathes/" + at.Lathe + "/" + at.Operation
	var err error
	if name == signoff.SittingTheory || name == signoff.SittingRecheck {
		t, openErr := w.practice.OpenSitting(c.Request.Context(), a, practice.OpeningSitting{Place: at, Kind: name})
		if openErr == nil {
			c.Redirect(http.StatusSeeOther, "/signoff/sittings/"+t.ID)
			return nil
		}
		err = openErr
	} else if act, ok := signOffActs[name]; ok {
		if err = act(w, c, a, at); err == nil {
			c.Redirect(http.StatusSeeOther, back+"?done="+name)
			return nil
		}
	} else {
		return curriculum.ErrNotFound
	}
	d, derr := w.signOffData(c, a)
	if derr != nil {
		return errors.Join(derr)
	}
	_ = c.Request.ParseForm()
	c.Request.PostForm.Set("act", name)
	return w.again(c, err, "signoff-file.html", view{Title: w.reader(c).lookUp(d.Title) + ", " + d.Name, Role: a.Role, Data: d, Where: signOffInputs(name, d)})
}

// signOffLabels are the inputs of the forms; their ids begin with the form's
// name, since several ask for a reason.
var signOffLabels = map[string]english{
	"job": "Job", "note": "Note", "second": "Second person", "dress": "Dress", "thread": "Thread", "instrument": "Instruments",
	"restriction": "Only (restriction)", "reason": "Reason", "age": "Age", "granted": "Decision",
}

// measureLabels are the inputs of one size of a test piece.
var measureLabels = map[string]english{"low": "limit|low", "high": "limit|high", "measured": "measured", "u": "U"}

func signOffInputs(act string, d signOffData) inputs {
	return func(pointer string) (id string, label phrase) {
		parts := strings.Split(strings.TrimPrefix(pointer, "/"), "/")
		switch {
		case len(parts) == 2 && parts[0] == "items":
			return act + "-item-" + parts[1], phraseOf("Checklist")
		case len(parts) == 3 && parts[0] == "measures":
			if i, err := strconv.Atoi(parts[1]); err == nil && i < len(d.Measures) {
				return act + "-" + parts[2] + "-" + parts[1], phraseOf("%s, %s", domain(d.Measures[i].What), cmp.Or(measureLabels[parts[2]], english(parts[2])))
			}
		case len(parts) == 1:
			if label, ok := signOffLabels[parts[0]]; ok {
				return act + "-" + parts[0], phraseOf(label)
			}
		}
		return "", phrase{}
	}
}

// Kept returns what was typed in one of several forms of a page.
func (v view) Kept(act, name string) string {
	if v.Form.Get("act") != act {
		return ""
	}
	return v.Form.Get(name)
}

// KeptHas reports whether a choice was made in one of several forms of a page.
func (v view) KeptHas(act, name, value string) bool {
	return v.Form.Get("act") == act && slices.Contains(v.Form[name], value)
}

// Acting reports whether a form of the page is the one that was sent.
func (v view) Acting(act string) bool { return v.Form.Get("act") == act }

// rulesForm turns the workshop's rules into the form's fields.
func rulesForm(s signoff.Settings) url.Values {
	yes := func(b bool) string {
		if b {
			return "yes"
		}
		return ""
	}
	return url.Values{
		"minimum_age": {strconv.Itoa(s.MinimumAge)}, "pass_mark": {strconv.Itoa(s.PassMark)}, "wait_hours": {strconv.Itoa(s.WaitHours)},
		"sitting_minutes": {strconv.Itoa(s.SittingMinutes)}, "valid_months": {strconv.Itoa(s.ValidMonths)}, "lapse_days": {strconv.Itoa(s.LapseDays)},
		"second_person": {yes(s.SecondPerson)}, "second_witness": {yes(s.SecondWitness)}, "zone": {s.Zone},
	}
}
