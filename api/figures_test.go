package api_test

import (
	"compress/gzip"
	"flag"
	"fmt"
	"io"
	"net/http"
	"net/http/httptrace"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
)

var figures = flag.Bool("figures", false, "measure first byte, weight and live answers of the pages")

// TestFigures prints what DEVELOPERS.md says of the pages' speed and weight. It
// judges nothing: a noisy machine must not fail a build.
func TestFigures(t *testing.T) {
	if !*figures {
		t.Skip("go test ./api -run TestFigures -figures -v prints them")
	}
	s := startDemo(t, nil)
	address := url.Values{}
	for id, text := range benchTyped {
		address.Set(id, text)
	}
	tokens := map[string]string{"visitor": ""}
	for who, role := range map[string]string{"instructor": curriculum.RoleInstructor, "steward": curriculum.RoleSteward} {
		_, link, err := s.AddPerson(t.Context(), s.instructor, "Measuring "+who, role)
		require.NoError(t, err)
		tokens[who], _, err = s.UseLink(t.Context(), link)
		require.NoError(t, err)
	}
	learner, _, err := s.Join(t.Context(), s.class.JoiningCode, s.variants[0].Learner, "4711")
	require.NoError(t, err)
	tokens["learner"] = learner
	type page struct{ name, path, token string }
	pages := []page{
		{"bench, what a change brings", "/bench/answer?" + address.Encode(), ""}, {"bench, what a slider brings", "/bench/fit?" + address.Encode(), ""},
		{"forecast, comes later", "/classes/" + s.class.ID + "/standing/forecast", tokens["instructor"]}, {"chance, comes later", "/plan/chance", learner},
	}
	for who, shots := range s.shots(t) {
		for _, x := range shots {
			pages = append(pages, page{who + ": " + x.name, x.path, tokens[who]})
		}
	}
	slices.SortStableFunc(pages, func(a, b page) int { return strings.Compare(a.name, b.name) })
	fmt.Printf("%-36s %12s %12s %12s %10s\n", "page", "at first", "middle of 50", "worst", "kB packed")
	for _, page := range pages {
		begun := time.Now()
		_, size, body := s.fetch(t, page.path, page.token)
		first := time.Since(begun)
		for _, file := range regexp.MustCompile(`(?:src|href)="(/static/[^"]+)"`).FindAllStringSubmatch(body, -1) {
			_, n, _ := s.fetch(t, file[1], page.token)
			size += n
		}
		var times []time.Duration
		for range 50 {
			wait, _, _ := s.fetch(t, page.path, page.token)
			times = append(times, wait)
		}
		slices.Sort(times)
		fmt.Printf("%-36s %9.1f ms %9.1f ms %9.1f ms %10.1f\n", page.name, ms(first), ms(times[len(times)/2]), ms(times[len(times)-1]), float64(size)/1000)
	}

	p := s.newPerson(t, 1280)
	p.open("/bench?" + address.Encode())
	// CPU time tells more than time on the wall where others use the machine too.
	_, err = chromedp.Call(p.ctx, performance.Enable, performance.EnableParams{TimeDomain: performance.EnableTimeDomainThreadTicks})
	require.NoError(t, err)
	for _, slow := range []float64{1, 4} {
		_, err := chromedp.Call(p.ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: slow})
		require.NoError(t, err)
		for _, input := range []struct{ id, a, b, shown string }{{"pitch", "2 mm", "2.5 mm", "#thread dl"}, {"slip", "5", "6", "#fit .drawing"}} {
			before := p.work()
			text, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](`(async () => {
				const times = [];
				for (let i = 0; i < 20; i++) {
					const began = performance.now();
					const shown = () => document.querySelector("`+input.shown+`"), old = shown();
					const e = document.getElementById("`+input.id+`");
					const came = new Promise((done) => new MutationObserver((_, o) => { if (shown() && shown() !== old) { o.disconnect(); done(); } }).observe(document.getElementById("answer"), {childList: true, subtree: true}));
					e.value = i % 2 ? "`+input.a+`" : "`+input.b+`";
					e.dispatchEvent(new Event("input", {bubbles: true}));
					await came;
					await new Promise(requestAnimationFrame);
					times.push(performance.now() - began);
				}
				times.sort((a, b) => a - b);
				return times[10].toFixed(0) + " ms, worst " + times[19].toFixed(0) + " ms";
			})()`, chromedp.EvalAwaitPromise))
			require.NoError(t, err)
			fmt.Printf("bench, %s changed, CPU slowed %v-fold: new answer painted after %s; CPU of the page's thread %s each\n", input.id, slow, text, p.work().since(before, 20))
		}
	}
}

// work is what a page's thread has done so far, in seconds of CPU.
type work map[string]float64

func (p person) work() work {
	p.t.Helper()
	m, err := chromedp.Call(p.ctx, performance.GetMetrics, cdp.Empty{})
	require.NoError(p.t, err)
	out := work{}
	for _, x := range m.Metrics {
		out[x.Name] = x.Value
	}
	return out
}

// since writes what was done since then, for each of so many answers.
func (w work) since(then work, answers float64) string {
	each := func(name string) float64 { return (w[name] - then[name]) * 1000 / answers }
	return fmt.Sprintf("%.1f ms (script %.1f, style %.1f, layout %.1f)", each("TaskDuration"), each("ScriptDuration"), each("RecalcStyleDuration"), each("LayoutDuration"))
}

func ms(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }

// fetch gets a page as a browser does, packed: the time to the first byte, the
// bytes that went over the wire, and what they say.
func (s *service) fetch(t *testing.T, path, token string) (wait time.Duration, size int, body string) {
	t.Helper()
	began := time.Now()
	ctx := httptrace.WithClientTrace(t.Context(), &httptrace.ClientTrace{GotFirstResponseByte: func() { wait = time.Since(began) }})
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, s.base+path, nil)
	require.NoError(t, err)
	r.Header.Set("Accept-Encoding", "gzip")
	if token != "" {
		r.AddCookie(&http.Cookie{Name: "halfnut", Value: token})
	}
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer func() { _ = res.Body.Close() }()
	require.Equal(t, http.StatusOK, res.StatusCode, path)
	packed, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	if res.Header.Get("Content-Encoding") != "gzip" {
		return wait, len(packed), string(packed)
	}
	z, err := gzip.NewReader(strings.NewReader(string(packed)))
	require.NoError(t, err)
	plain, err := io.ReadAll(z)
	require.NoError(t, err)
	return wait, len(packed), string(plain)
}
