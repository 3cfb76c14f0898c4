package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/worksheets"
)

// PrintPacks lets the service print class packs as work.
func PrintPacks(p *practice.Service) {
	p.HandleWork(curriculum.WorkClassPack, func(ctx context.Context, r *practice.Running) error { return printPack(ctx, p, r) })
}

func printPack(ctx context.Context, p *practice.Service, r *practice.Running) error {
	set, text, err := practice.PackArgs(r)
	if err != nil {
		return err
	}
	query, err := url.ParseQuery(text)
	if err != nil {
		return fmt.Errorf("%w: how the pack is printed cannot be read", curriculum.ErrInvalid)
	}
	pack, err := Pack(ctx, p, r.Actor, set, query)
	if err != nil {
		return err
	}
	laid := 0
	pack.Tell = func() error {
		laid++
		r.Progress(laid, len(pack.Variants))
		return ctx.Err()
	}
	files, err := pack.Files()
	if err != nil {
		return err
	}
	result := curriculum.WorkResult{Set: set, Learners: len(pack.Variants)}
	return r.File(ctx, "pack.zip", "application/zip", result, func(to io.Writer) error { return worksheets.WriteZip(to, files) })
}

// workWords are what the pages call the kinds of work, and how far one is.
var workWords = map[string]struct{ Name, Steps english }{
	curriculum.WorkClassSet:  {"Class set", "%s of %s exercises drawn."},
	curriculum.WorkRoster:    {"Class list", "%s of %s names."},
	curriculum.WorkClassPack: {"Class pack", "%s of %s sheets laid out."},
	curriculum.WorkRecompute: {"Comparison", "%s of %s learners compared."},
	curriculum.WorkExport:    {"All records", "%s of %s."},
}

var workStates = map[string]english{
	curriculum.WorkWaiting:   "It waits for its turn.",
	curriculum.WorkRunning:   "It is being made.",
	curriculum.WorkDone:      "It is done.",
	curriculum.WorkFailed:    "It could not be made.",
	curriculum.WorkCalledOff: "It was called off.",
}

// shownWork is a work in words.
type shownWork struct {
	curriculum.Work
	Name, Steps, Says english
}

func showWork(r reader, w curriculum.Work) shownWork {
	words := workWords[w.Kind]
	w.Title = workTitle(r, w.Title)
	return shownWork{Work: w, Name: words.Name, Steps: words.Steps, Says: workStates[w.State]}
}

// comparisonTitle is the only title of a work that nobody has given.
const comparisonTitle english = "Mastery and the record"

// workTitle is a work's title for who reads it.
func workTitle(r reader, title string) string {
	if title == string(comparisonTitle) {
		return r.T(comparisonTitle)
	}
	return title
}

// Kept says that the work's file can still be fetched.
func (w shownWork) Kept() bool { return time.Now().Before(w.Result.File.Until) }

// DifferencesFound is their number, to be spoken of.
func (w shownWork) DifferencesFound() int { return *w.Result.Differences }

// MiB is the file's size, never nothing.
func (w shownWork) MiB() float64 { return max(0.1, float64(w.Result.File.Bytes)/(1<<20)) }

func (w *Pages) shownWork(c *gin.Context, a practice.Actor) (shownWork, error) {
	work, err := w.practice.Work(c.Request.Context(), a, c.Param("id"))
	return showWork(w.reader(c), work), err
}

func (w *Pages) work(c *gin.Context, a practice.Actor) error {
	work, err := w.shownWork(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "work.html", view{Title: w.t(c, work.Name) + ": " + work.Title, Role: a.Role, Data: work})
	return nil
}

// workProgress is the part of the page that changes.
func (w *Pages) workProgress(c *gin.Context, a practice.Actor) error {
	work, err := w.shownWork(c, a)
	if err != nil {
		return err
	}
	w.showPart(c, http.StatusOK, "work.html", "progress", view{Role: a.Role, Data: work})
	return nil
}

func (w *Pages) works(c *gin.Context, a practice.Actor) error {
	works, err := w.practice.OwnWork(c.Request.Context(), a)
	if err != nil {
		return err
	}
	shown := make([]shownWork, len(works))
	for i, work := range works {
		shown[i] = showWork(w.reader(c), work)
	}
	w.show(c, http.StatusOK, "works.html", view{Title: w.t(c, "Long tasks"), Role: a.Role, Data: shown})
	return nil
}

// askWork asks for what the page of works offers.
func (w *Pages) askWork(c *gin.Context, a practice.Actor) error {
	var work curriculum.Work
	var err error
	switch c.PostForm("kind") {
	case curriculum.WorkExport:
		work, err = w.practice.AskExport(c.Request.Context(), a)
	case curriculum.WorkRecompute:
		work, err = w.practice.Recompute(c.Request.Context(), a, c.PostForm("write") != "")
	default:
		err = &curriculum.FieldError{Path: "/kind", Value: c.PostForm("kind"), Allowed: curriculum.WorkExport + ", " + curriculum.WorkRecompute}
	}
	if err != nil {
		return err
	}
	c.Redirect(http.StatusSeeOther, "/work/"+work.ID)
	return nil
}

// callOffWork calls a work off. One that has ended meanwhile is shown as it is.
func (w *Pages) callOffWork(c *gin.Context, a practice.Actor) error {
	if _, err := w.practice.CallOffWork(c.Request.Context(), a, c.Param("id")); err != nil && !errors.Is(err, curriculum.ErrConflict) {
		return err
	}
	c.Redirect(http.StatusSeeOther, "/work/"+c.Param("id"))
	return nil
}

// askPack asks for the class pack of a set; how it is printed stands in the form.
func (w *Pages) askPack(c *gin.Context, a practice.Actor) error {
	query := url.Values{}
	if c.PostForm("double") != "" {
		query.Set("double", "1")
	}
	work, err := w.practice.AskPack(c.Request.Context(), a, c.Param("id"), query.Encode())
	if err != nil {
		return err
	}
	c.Redirect(http.StatusSeeOther, "/work/"+work.ID)
	return nil
}

// SendFile sends the file of a work. What fails after the first byte cuts the
// connection: half a file must not look whole.
func SendFile(c *gin.Context, file curriculum.WorkFile, write func(io.Writer) error) error {
	c.Header("Content-Type", file.Media)
	c.Header("Content-Disposition", `attachment; filename="`+file.Name+`"`)
	c.Header("Content-Length", strconv.FormatInt(file.Bytes, 10))
	c.Status(http.StatusOK)
	if err := write(patient{c.Writer}); err != nil {
		panic(http.ErrAbortHandler)
	}
	return nil
}

// patient gives a slow client time for every piece, not for the whole file.
type patient struct{ http.ResponseWriter }

const pieceTime = time.Minute

func (p patient) Write(piece []byte) (int, error) {
	if err := http.NewResponseController(p.ResponseWriter).SetWriteDeadline(time.Now().Add(pieceTime)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return 0, err
	}
	return p.ResponseWriter.Write(piece)
}
