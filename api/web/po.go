package web

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// message is an entry of a PO file (GNU gettext manual, "The Format of PO Files").
type message struct {
	context, id, plural string
	// forms are the translations: one, or those of a number of things.
	forms []string
	// fuzzy says that the translation is to be looked at by its translator.
	fuzzy bool
}

var poLine = regexp.MustCompile(`^(?:(msgctxt|msgid|msgid_plural|msgstr)(?:\[(\d)\])?\s*)?(".*")$`)

// readPO reads a PO file; its header is the message without an id.
func readPO(data string) ([]message, error) {
	var out []message
	var m message
	var into *string // what a line of text alone goes on with
	end := func() {
		if m.forms != nil {
			out, m, into = append(out, m), message{}, nil
		}
	}
	n := 0
	for line := range strings.Lines(data) {
		n++
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			end()
			flags, found := strings.CutPrefix(line, "#,")
			m.fuzzy = m.fuzzy || found && slices.Contains(strings.FieldsFunc(flags, func(r rune) bool { return r == ',' || r == ' ' }), "fuzzy")
			continue
		}
		part := poLine.FindStringSubmatch(line)
		if part == nil {
			return nil, fmt.Errorf("line %d is none of a PO file", n)
		}
		text, err := strconv.Unquote(part[3])
		if err != nil {
			return nil, fmt.Errorf("line %d is no text in quotation marks", n)
		}
		if part[1] == "msgctxt" || part[1] == "msgid" {
			end()
		}
		switch part[1] {
		case "msgctxt":
			into = &m.context
		case "msgid":
			into = &m.id
		case "msgid_plural":
			into = &m.plural
		case "msgstr":
			if part[2] != "" && part[2] != strconv.Itoa(len(m.forms)) {
				return nil, fmt.Errorf("line %d is not the next form", n)
			}
			m.forms = append(m.forms, "")
			into = &m.forms[len(m.forms)-1]
		}
		if into == nil {
			return nil, fmt.Errorf("line %d belongs to no text", n)
		}
		*into += text
	}
	end()
	return out, nil
}
