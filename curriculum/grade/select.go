package grade

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
)

// maxListed is the greatest number of things in a list.
const maxListed = 40

var (
	listWord = regexp.MustCompile(`^(?:and|lines?|nos?\.?|numbers?|starts?|stations?|marks?|or|start|slots?|jaws?|holes?|gears?|wheels?|teeth|t)$`)
	listMark = strings.NewReplacer(",", " ", ";", " ", "&", " ", "#", " ", "+", " ", "/", " ", "(", " ", ")", " ", "{", " ", "}", " ", "[", " ", "]", " ", "x", " ")
)

// readList reads whole numbers as they are written: "1 and 3", "1,3", "1 3",
// "lines 1, 3", "none".
func readList(p curriculum.Part, s string) ([]int, error) {
	switch strings.TrimSuffix(s, ".") {
	case "none", "no line", "no lines", "nothing", "no", "-", "{}", "[]":
		return []int{}, nil
	case "all", "any", "every", "all lines", "any line", "every line", "all of them":
		return allChoices(p)
	}
	list := []int{}
	for _, word := range strings.Fields(listMark.Replace(s)) {
		word = strings.TrimSuffix(word, ".")
		if listWord.MatchString(word) {
			continue
		}
		if strings.ContainsAny(word, "-−.") {
			return nil, askBack("Write each number of the list by itself, such as 1, 3: what do you mean by %s?", quote(word))
		}
		if !allDigits(word) || len(word) > 4 {
			return nil, unreadable("%s is not a number of the list", quote(word))
		}
		n, _ := strconv.Atoi(word)
		list = append(list, n)
	}
	switch {
	case len(list) == 0:
		return nil, unreadable("there are no numbers here; write none if that is what you mean")
	case len(list) > maxListed:
		return nil, unreadable("more than %d numbers", maxListed)
	}
	return list, nil
}

// allChoices returns the numbers that a list may be chosen from.
func allChoices(p curriculum.Part) ([]int, error) {
	all := []int{}
	for _, c := range p.Choices {
		n, err := strconv.Atoi(c.ID)
		if err != nil {
			all = nil
			break
		}
		all = append(all, n)
	}
	if len(all) == 0 {
		return nil, askBack("Which ones are all of them? Write each number.")
	}
	slices.Sort(all)
	return slices.Compact(all), nil
}

// plainWords makes texts of choices comparable.
func plainWords(s string) string {
	c, err := clean(s)
	if err != nil {
		return ""
	}
	return strings.Trim(c, ` .,;:()"'`)
}

// choose returns the id of the choice that a word means: by its id, its text or
// its letter (a is the first). Nothing is guessed from parts of words.
func choose(p curriculum.Part, word string) (string, error) {
	word = plainWords(word)
	found := []string{}
	for i, c := range p.Choices {
		letter := i < 26 && word == string(rune('a'+i))
		if word != "" && (word == plainWords(c.ID) || word == plainWords(c.Text) || letter) && !slices.Contains(found, c.ID) {
			found = append(found, c.ID)
		}
	}
	switch len(found) {
	case 0:
		return "", unreadable("%s is not one of the choices; write its letter", quote(word))
	case 1:
		return found[0], nil
	}
	return "", askBack("%s names more than one of the choices: which do you mean?", quote(word))
}

func readChoice(p curriculum.Part, s string) (string, error) {
	id, err := choose(p, s)
	if err == nil {
		return id, nil
	}
	// "b) keep closed" and "b and c" say more than one word.
	if letter, text, ok := cutLabel(s); ok {
		a, errA := choose(p, letter)
		b, errB := choose(p, text)
		if errA == nil && errB == nil {
			if a == b {
				return a, nil
			}
			return "", askBack("The letter and the words name different choices: which do you mean?")
		}
	}
	named := []string{}
	for _, word := range strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(" ,;/&+", r) }) {
		if word == "and" || word == "or" {
			continue
		}
		one, errOne := choose(p, word)
		if errOne != nil {
			return "", err
		}
		named = append(named, one)
	}
	slices.Sort(named)
	if len(slices.Compact(named)) > 1 {
		return "", askBack("Only one can be chosen here: which one?")
	}
	return "", err
}

// cutLabel parts "b) text", "b. text" and "b: text".
func cutLabel(s string) (label, text string, ok bool) {
	for _, mark := range []string{")", ".", ":", " "} {
		if label, text, ok = strings.Cut(s, mark); ok && strings.TrimSpace(text) != "" && len(strings.Trim(label, "( ")) == 1 {
			return label, text, true
		}
	}
	return "", "", false
}

// readOrder reads "c a b", "c, a, b", "c > a > b", "cab"; every choice must be
// named once.
func readOrder(p curriculum.Part, s string) ([]string, error) {
	words := orderWords(p, s)
	order := make([]string, 0, len(words))
	for _, word := range words {
		id, err := choose(p, word)
		if err != nil {
			return nil, err
		}
		if slices.Contains(order, id) {
			return nil, unreadable("%s stands there twice; name each one once", quote(word))
		}
		order = append(order, id)
	}
	if len(order) != len(p.Choices) {
		return nil, unreadable("%d of %d are named; put all of them in order", len(order), len(p.Choices))
	}
	return order, nil
}

func orderWords(p curriculum.Part, s string) []string {
	s = strings.NewReplacer("->", ",", "→", ",", ">", ",", ";", ",", " then ", ",").Replace(s)
	if strings.Contains(s, ",") {
		return fields(s, ",")
	}
	words := strings.Fields(s)
	if len(words) == 1 && len(words[0]) == len(p.Choices) {
		return strings.Split(words[0], "")
	}
	if len(words) == 1 && strings.Contains(s, "-") {
		if _, err := choose(p, s); err != nil {
			return fields(s, "-")
		}
	}
	return words
}

func fields(s, separator string) []string {
	words := []string{}
	for word := range strings.SplitSeq(s, separator) {
		if word = strings.TrimSpace(word); word != "" {
			words = append(words, word)
		}
	}
	return words
}
