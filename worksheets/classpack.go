package worksheets

import (
	"archive/zip"
	"fmt"
	"io"
	"slices"
	"strconv"

	"halfnut/curriculum"
)

// sheetsPerFile keeps one file small in memory and quick to print again.
const sheetsPerFile = 30

// PackFile is one file of a class pack.
type PackFile struct {
	Name     string
	Document Document
}

// Files returns the class pack: a cover with checks, the sheets in seat order in files of 30, the key in a file of
// its own, and the marking grid.
func (p Pack) Files() ([]PackFile, error) {
	if len(p.Variants) == 0 {
		return nil, fmt.Errorf("the class has no sheet: %w", ErrEmpty)
	}
	p = p.inSeatOrder()
	var files []PackFile
	n := 0
	for part := range slices.Chunk(p.Variants, sheetsPerFile) {
		n++
		some := p
		some.Variants = part
		doc, err := some.Document()
		if err != nil {
			return nil, err
		}
		files = append(files, PackFile{fmt.Sprintf("sheets-%02d.pdf", n), doc})
	}
	for _, f := range []struct {
		name  string
		build func() (Sheet, error)
	}{{"key.pdf", p.Key}, {"grid.pdf", p.MarkingGrid}} {
		sheet, err := f.build()
		if err != nil {
			return nil, err
		}
		doc, err := sheet.Document()
		if err != nil {
			return nil, err
		}
		files = append(files, PackFile{f.name, doc})
	}
	cover, err := p.coverOf(files).Document()
	if err != nil {
		return nil, err
	}
	return slices.Insert(files, 0, PackFile{"cover.pdf", cover}), nil
}

// Cover returns the cover of the pack, as it lies in the archive.
func (p Pack) Cover() (Sheet, error) {
	files, err := p.Files()
	if err != nil {
		return Sheet{}, err
	}
	return p.inSeatOrder().coverOf(files[1:]), nil // the first file is the cover itself
}

func (p Pack) inSeatOrder() Pack {
	p.Variants = slices.Clone(p.Variants)
	slices.SortStableFunc(p.Variants, func(a, b curriculum.Variant) int { return a.Seat - b.Seat })
	return p
}

// coverOf lists the files, what to look at before the pack is handed out, and who gets which sheet.
func (p Pack) coverOf(files []PackFile) Sheet {
	style, _ := p.dense()
	rows := make([][]string, len(files))
	for i, f := range files {
		rows[i] = []string{"☐", f.Name, f.Document.Title, strconv.Itoa(len(f.Document.Pages))}
	}
	seats := make([][]string, len(p.Variants))
	for i, v := range p.Variants {
		seats[i] = []string{strconv.Itoa(v.Seat), v.Name, CodeText(v.Code), "☐", "☐"}
	}
	title := "Class pack: " + p.Set.Spec.Title
	return Sheet{
		Owner: "the cover", Style: style,
		Running: Running{Title: title, Lines: []string{p.Workshop, "Class: " + p.Class + ", " + p.Set.LatheName}, Footer: safetyFooter},
		Body: []Block{
			Heading{Text: "In this pack", Level: 2},
			Table{Columns: []Column{{Title: "Printed"}, {Title: "File", Bold: true}, {Title: "What"}, {Title: "Pages", Align: Right}}, Rows: rows},
			Keep{Name: "the checks", OrFlow: true, Body: []Block{Heading{Text: "Before it is handed out", Level: 2}, ticks([]string{
				"Printed at 100 %, not fitted to the page: drawings are to scale.",
				"The key is printed apart from the sheets and stays with the instructor.",
				"The lathe on the sheets is the one the class works on: leadscrew, dial and collars as at the machine.",
				"One sheet for each seat, in seat order, every page with its code.",
				"One exercise of one sheet worked by hand and compared with the key.",
			})}},
			Heading{Text: "Sheets in seat order", Level: 2},
			Table{Columns: []Column{{Title: "Seat"}, {Title: "Name"}, {Title: "Sheet"}, {Title: "Handed out"}, {Title: "Handed in"}}, Rows: seats},
		},
	}
}

// WriteZip writes the files as one ZIP archive, without dates, so that the same pack has the same bytes.
func WriteZip(w io.Writer, files []PackFile) error {
	z := zip.NewWriter(w)
	for _, f := range files {
		part, err := z.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Store}) // PDF is deflated already
		if err != nil {
			return fmt.Errorf("write pack: %w", err)
		}
		if err := Write(part, f.Document); err != nil {
			return fmt.Errorf("write pack: %s: %w", f.Name, err)
		}
	}
	if err := z.Close(); err != nil {
		return fmt.Errorf("write pack: %w", err)
	}
	return nil
}

// WriteZipFile writes the archive to a file, whole or not at all.
func WriteZipFile(path string, files []PackFile) error {
	return writeFile(path, func(w io.Writer) error { return WriteZip(w, files) })
}

// backSide fills up a sheet printed on both sides, so that the next begins on a front side.
func backSide(style Style) Page {
	return Page{Paper: style.Paper, Theme: style.Theme, Items: []Item{
		Text{At: Point{style.Paper.Width / 2, style.Paper.Height / 2}, Text: "This side is left empty.", Size: style.Size, Anchor: Middle, Tone: Muted, Class: "text"},
	}}
}
