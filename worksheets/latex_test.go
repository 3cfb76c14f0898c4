package worksheets

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// latex writes sheets as a LaTeX author would who minds the time: paragraphs, lists, tabulars and minipages that TeX lays
// out by itself, running lines by fancyhdr, drawings by the basic layer of pgf, a sheet's code kept in a box. TeX sets them in its own faces, so that pages look alike and
// are not equal; signs that those lack are written as others of about the same width.
type latex struct{ strings.Builder }

const latexHead = `\documentclass[%s]{article}
\usepackage[utf8]{inputenc}
\usepackage[T1]{fontenc}
\usepackage{textcomp,latexsym,array,fancyhdr,pgf}
\usepackage[%s,margin=15mm,headheight=32mm,headsep=4mm,footskip=8mm,includehead,includefoot]{geometry}
\parindent0pt \parskip4pt \renewcommand\headrulewidth{0.25mm} \renewcommand\footrulewidth{0.25mm}
\newsavebox\code
\begin{document}
\pagestyle{fancy}
`

// writeLaTeX writes a pack of sheets, all on one paper.
func writeLaTeX(w io.Writer, sheets []Sheet) error {
	var x latex
	style := sheets[0].Style
	fmt.Fprintf(&x, latexHead, "11pt", strings.ToLower(style.Paper.Name)+"paper")
	for _, s := range sheets {
		x.sheet(s)
	}
	x.WriteString("\\end{document}\n")
	_, err := io.WriteString(w, x.String())
	return err
}

func (x *latex) sheet(s Sheet) {
	x.WriteString("\\clearpage\\sbox\\code{")
	x.picture([]Item{QR{Side: codeSide, Text: s.Running.Code}})
	x.WriteString("}\\setcounter{page}{1}\\fancyhf{}\\lhead{\\parbox[b]{130mm}{\\textbf{\\large " + texText(s.Running.Title) + "}")
	for _, l := range s.Running.Lines {
		x.WriteString("\\\\" + texText(l))
	}
	x.WriteString("}}\\rhead{\\usebox\\code\\\\" + texText(s.Running.Code) + "}\\lfoot{\\footnotesize " + texText(s.Running.Footer) + "}\\rfoot{\\footnotesize page \\thepage}\n")
	x.blocks(s.Body, s.Style)
}

func (x *latex) blocks(blocks []Block, style Style) {
	for _, b := range blocks {
		x.block(b, style)
	}
}

func (x *latex) block(b Block, style Style) {
	switch b := b.(type) {
	case shared:
		x.block(b.Block, style)
	case Heading:
		x.WriteString(map[int]string{1: "\\section*{", 2: "\\subsection*{"}[b.Level])
		if b.Level > 2 {
			x.WriteString("\\subsubsection*{")
		}
		x.WriteString(texText(b.Text) + "}\n")
	case Paragraph:
		for _, s := range b.Spans {
			if s.Face == Bold {
				x.WriteString("\\textbf{" + texText(s.Text) + "}")
			} else {
				x.WriteString(texText(s.Text))
			}
		}
		x.WriteString("\n\n")
	case List:
		name := map[bool]string{true: "enumerate", false: "itemize"}[b.Numbered]
		x.WriteString("\\begin{" + name + "}\n")
		for _, e := range b.Entries {
			x.WriteString("\\item " + texText(e) + "\n")
		}
		x.WriteString("\\end{" + name + "}\n")
	case Table:
		x.table(b)
	case Figure:
		x.WriteString("\\begin{center}")
		x.picture(b.Drawing.Items)
		x.WriteString("\\\\{\\footnotesize " + texText(b.Caption) + "}\\end{center}\n")
	case Columns:
		total := 0.0
		weight := func(i int) float64 {
			if i < len(b.Weights) {
				return b.Weights[i]
			}
			return 1
		}
		for i := range b.Parts {
			total += weight(i)
		}
		for i, part := range b.Parts {
			fmt.Fprintf(x, "\\begin{minipage}[t]{%.3f\\linewidth}\n", 0.97*weight(i)/total)
			x.blocks(part, style)
			x.WriteString("\\end{minipage}\\hfill")
		}
		x.WriteString("\n\n")
	case Boxed:
		x.WriteString("\\fbox{\\begin{minipage}{0.96\\linewidth}\\textbf{" + texText(b.Title) + "}\n\n")
		x.blocks(b.Body, style)
		x.WriteString("\\end{minipage}}\n\n")
	case Keep:
		if len(b.Body) > 0 {
			x.WriteString("\\begin{minipage}{\\linewidth}\n")
			x.blocks(b.Body, style)
			x.WriteString("\\end{minipage}\n\n")
		}
	case AnswerLine:
		marks := ""
		if b.Marks > 0 {
			marks = "\\textbf{[" + strconv.Itoa(b.Marks) + "]}"
		}
		fmt.Fprintf(x, "%s \\rule{0pt}{%gmm}\\hrulefill\\ %s %s\\par\n", texText(b.Label), style.WriteHeight, texText(b.Unit), marks)
	case WorkSpace:
		for range b.Steps {
			fmt.Fprintf(x, "\\rule{0pt}{%gmm}\\dotfill\\par\n", style.WriteHeight*0.8)
		}
	case Rule:
		x.WriteString("\\hrule\n")
	case PageBreak:
		x.WriteString("\\clearpage\n")
	default:
		panic(fmt.Sprintf("%T is not written for LaTeX", b))
	}
}

func (x *latex) table(tb Table) {
	fmt.Fprintf(x, "\\begin{tabular}{|*{%d}{p{%.3f\\linewidth}|}}\\hline\n", len(tb.Columns), 0.93/float64(len(tb.Columns)))
	row := func(cells []string, bold bool) {
		for i, c := range cells {
			if i > 0 {
				x.WriteString(" & ")
			}
			if bold {
				x.WriteString("\\textbf{" + texText(c) + "}")
			} else {
				x.WriteString(texText(c))
			}
		}
		x.WriteString("\\\\\\hline\n")
	}
	titles := make([]string, len(tb.Columns))
	for i, c := range tb.Columns {
		titles[i] = c.Title
	}
	row(titles, true)
	for _, r := range tb.Rows {
		row(r, false)
	}
	x.WriteString("\\end{tabular}\n\n")
}

// picture draws items with pgf.
func (x *latex) picture(items []Item) {
	x.WriteString("\\begin{pgfpicture}\n")
	walk(items, x.draw)
	x.WriteString("\\end{pgfpicture}")
}

func (x *latex) draw(it Item) {
	at := func(p Point) string { return fmt.Sprintf("{\\pgfqpoint{%.2fmm}{%.2fmm}}", p.X, -p.Y) }
	paint := func(s Stroke, fill Tone) {
		var use []string
		if fill != NoTone {
			fmt.Fprintf(x, "\\pgfsetfillcolor{black!%.0f}", 100*(1-Standard.grey(fill)))
			use = append(use, "fill")
		}
		if s.Width > 0 && s.Tone != NoTone {
			fmt.Fprintf(x, "\\pgfsetlinewidth{%.2fmm}\\pgfsetdash{", s.Width)
			for _, d := range dashLengths[s.Dash] {
				fmt.Fprintf(x, "{%.2fmm}", d)
			}
			x.WriteString("}{0pt}")
			use = append(use, "stroke")
		}
		x.WriteString("\\pgfusepath{" + strings.Join(use, ",") + "}\n")
	}
	path := func(ps ...Point) {
		for i, p := range ps {
			x.WriteString(map[bool]string{true: "\\pgfpathmoveto", false: "\\pgfpathlineto"}[i == 0] + at(p))
		}
	}
	switch it := it.(type) {
	case Text:
		side := map[Anchor]string{Start: "left,", End: "right,"}[it.Anchor]
		bold := map[Face]string{Bold: "\\bfseries "}[it.Face]
		fmt.Fprintf(x, "\\pgftext[x=%.2fmm,y=%.2fmm,%sbase,rotate=%.1f]{\\fontsize{%.1f}{%.1f}\\selectfont%s %s}\n", it.At.X, -it.At.Y, side, it.Rotate, it.Size, it.Size*1.2, bold, texText(it.Text))
	case Line:
		path(it.A, it.B)
		paint(it.Stroke, NoTone)
	case Polyline:
		path(it.Points...)
		paint(it.Stroke, NoTone)
	case Polygon:
		path(it.Points...)
		x.WriteString("\\pgfpathclose")
		paint(it.Stroke, it.Fill)
	case Rect:
		x.WriteString("\\pgfpathrectangle" + at(Point{it.Box.X, it.Box.Y}) + at(Point{it.Box.W, it.Box.H}))
		paint(it.Stroke, it.Fill)
	case Circle:
		fmt.Fprintf(x, "\\pgfpathcircle%s{%.2fmm}", at(it.Centre), it.Radius)
		paint(it.Stroke, it.Fill)
	case Arc:
		path(it.Centre.Polar(it.Radius, it.From))
		fmt.Fprintf(x, "\\pgfpatharc{%.2f}{%.2f}{%.2fmm}", it.From, it.To, it.Radius)
		paint(it.Stroke, NoTone)
	case QR:
		rects, err := it.rects()
		if err != nil {
			panic(err)
		}
		for _, r := range rects {
			x.WriteString("\\pgfpathrectangle" + at(Point{r.X, r.Y}) + at(Point{r.W, r.H}))
		}
		x.WriteString("\\pgfusepath{fill}\n")
	}
}

var texSigns = strings.NewReplacer(
	`\`, `\textbackslash{}`, `{`, `\{`, `}`, `\}`, `$`, `\$`, `&`, `\&`, `#`, `\#`, `%`, `\%`, `_`, `\_`, `^`, `\^{}`, `~`, `\~{}`,
	"\u00a0", "~", "×", `$\times$`, "·", `$\cdot$`, "°", `$^\circ$`, "−", `$-$`, "±", `$\pm$`, "≈", `$\approx$`, "≤", `$\leq$`, "≥", `$\geq$`,
	"π", `$\pi$`, "φ", `$\varphi$`, "λ", `$\lambda$`, "α", `$\alpha$`, "√", `$\surd$`, "→", `$\to$`, "⌀", `$\oslash$`, "☐", `$\Box$`, "⚠", `$\triangle$`, "′", `$'$`, "″", `$''$`,
)

// texText writes a text for TeX; what Latin letters and the signs above leave out becomes an x.
func texText(s string) string {
	s = strings.Map(func(r rune) rune {
		if r > 0x17F && !strings.ContainsRune("×·°−±≈≤≥πφλα√→⌀☐⚠′″–—‘’“”•", r) {
			return 'x'
		}
		return r
	}, s)
	return texSigns.Replace(s)
}

// byLaTeX has pdflatex lay out and write the sheets, and returns how many pages it makes of them.
func byLaTeX(t *testing.T, dir string, sheets []Sheet) int {
	t.Helper()
	f, err := os.Create(filepath.Join(dir, "sheets.tex"))
	require.NoError(t, err)
	require.NoError(t, writeLaTeX(f, sheets))
	require.NoError(t, f.Close())
	c := exec.Command("pdflatex", "-interaction=batchmode", "-halt-on-error", "sheets.tex")
	c.Dir = dir
	out, err := c.CombinedOutput()
	log, _ := os.ReadFile(filepath.Join(dir, "sheets.log")) // for the message alone
	require.NoError(t, err, "%s\n%s", out, log[max(0, len(log)-1500):])
	_, rest, ok := strings.Cut(string(log), "Output written on sheets.pdf (")
	require.True(t, ok)
	pages, err := strconv.Atoi(strings.Fields(rest)[0])
	require.NoError(t, err)
	return pages
}
