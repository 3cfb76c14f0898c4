package api_test

import (
	"io"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// page gets a page as a browser of a language does.
func (s *service) page(t *testing.T, path, token, language string) string {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, s.base+path, nil)
	require.NoError(t, err)
	r.Header.Set("Accept-Language", language)
	if token != "" {
		r.AddCookie(&http.Cookie{Name: "halfnut", Value: token})
	}
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer func() { require.NoError(t, res.Body.Close()) }()
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, res.StatusCode, "%s: %.300s", path, body)
	assert.Equal(t, "Accept-Language", res.Header.Get("Vary"))
	return string(body)
}

// everyTime is what differs from one showing of a sheet to the next.
var everyTime = regexp.MustCompile(`name="try" value="[^"]*"|<footer>.*</footer>`)

// inputs are what a form sends and what a drawing of numbers is made from.
var inputs = regexp.MustCompile(`(?:value|min|max|step)="[^"]*"`)

// TestUnitsPerPerson: each chooses once, over the page or the API; pages and
// bench cards follow, exercises do not.
func TestUnitsPerPerson(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		tokens := s.tokens(t)
		sheet := "/sheets/" + s.variants[0].Code
		before := everyTime.ReplaceAllString(s.page(t, sheet, tokens["learner"], "en"), "")
		bench := "/bench?pitch=2+mm&starts=3&form=iso-metric&diameter=30+mm"

		for who, choice := range map[string]string{"instructor": "in", "learner": "in", "other learner": "mm"} {
			status, _, body := s.call(t, tokens[who], "PUT", "/v1/session/units", "application/json", `{"units": "`+choice+`"}`)
			require.Equal(t, http.StatusNoContent, status, body)
			_, _, body = s.call(t, tokens[who], "GET", "/v1/session", "", "")
			assert.Contains(t, body, `"units":"`+choice+`"`)
		}
		status, _, _ := s.call(t, tokens["learner"], "PUT", "/v1/session/units", "application/json", `{"units": "cubits"}`)
		assert.Equal(t, http.StatusUnprocessableEntity, status)

		anybody := s.page(t, bench, "", "en")
		assert.Contains(t, anybody, "6.000 mm (0.2362 in)")
		inch := s.page(t, bench, tokens["instructor"], "en")
		assert.Contains(t, inch, "0.2362 in")
		assert.NotContains(t, inch, "6.000 mm")
		assert.Contains(t, s.page(t, bench, tokens["other learner"], "en"), "<b>6.000 mm</b>")
		assert.Contains(t, s.page(t, bench+"&units=mm", tokens["instructor"], "en"), "<b>6.000 mm</b>", "an address is shown as it was passed on")
		assert.Contains(t, s.page(t, bench+"&units=cubits", tokens["instructor"], "en"), "0.2362 in")

		assert.Equal(t, before, everyTime.ReplaceAllString(s.page(t, sheet, tokens["learner"], "en"), ""), "exercises keep their unit")
		assert.Contains(t, s.page(t, "/classes/"+s.class.ID, tokens["instructor"], "en"), `<option value="in" selected>`, "new sets begin with it")

		form := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, s.base+"/units", strings.NewReader(url.Values{"units": {"both"}}.Encode()))
		require.NoError(t, err)
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.AddCookie(&http.Cookie{Name: "halfnut", Value: tokens["instructor"]})
		res, err := form.Do(r)
		require.NoError(t, err)
		require.NoError(t, res.Body.Close())
		assert.Equal(t, http.StatusSeeOther, res.StatusCode)
		assert.Contains(t, s.page(t, "/units?done=1", tokens["instructor"], "en"), `value="both" checked`)
	})
}

// TestNumbersAsTheBrowserWritesThem: sizes and days follow the language; what goes
// into an input, and every exercise, does not, for answers are read with a point.
func TestNumbersAsTheBrowserWritesThem(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	tokens := s.tokens(t)
	address := url.Values{}
	for id, text := range benchTyped {
		address.Set(id, text)
	}
	bench := s.page(t, "/bench?"+address.Encode(), "", "de-DE,de;q=0.9")
	assert.Contains(t, bench, "8,000 mm (0,3150 in)")
	assert.Contains(t, bench, "8,0 mm/s")
	assert.Empty(t, regexp.MustCompile(`>[^<>]*\d\.\d{3,} (mm|in)\b[^<>]*`).FindAllString(bench, -1), "no size is written the English way")
	for _, page := range []string{"/bench?" + address.Encode(), "/classes/" + s.class.ID, "/statistics", "/lathes/" + s.lathe.ID, "/classes/" + s.class.ID + "/jobs?learner=" + s.variants[0].Learner} {
		english, german := s.page(t, page, tokens["instructor"], "en-GB"), s.page(t, page, tokens["instructor"], "de")
		assert.Equal(t, inputs.FindAllString(english, -1), inputs.FindAllString(german, -1), page)
	}
	sheet := "/sheets/" + s.variants[0].Code
	assert.Equal(t, everyTime.ReplaceAllString(s.page(t, sheet, tokens["learner"], "en-GB"), ""), everyTime.ReplaceAllString(s.page(t, sheet, tokens["learner"], "de"), ""))
}
