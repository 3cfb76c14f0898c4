package curriculum

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"halfnut/threadmath"
)

// Value is an answer: exactly one of its fields is set. In JSON it is a length
// object, a number, text (a ratio or the id of a choice), a list of numbers or
// a list of ids, as the contract says.
type Value struct {
	Length *threadmath.Dimension
	Number *float64
	Text   string
	List   []int
	Order  []string
}

// LengthValue, NumberValue and TextValue wrap an answer.
func LengthValue(d threadmath.Dimension) *Value { return &Value{Length: &d} }

// NumberValue wraps degrees, rev/min, counts.
func NumberValue(f float64) *Value { return &Value{Number: &f} }

// TextValue wraps a ratio ("10/3") or the id of a choice.
func TextValue(s string) *Value { return &Value{Text: s} }

// MarshalJSON writes the one field that is set.
func (v Value) MarshalJSON() ([]byte, error) {
	switch {
	case v.Length != nil:
		return json.Marshal(v.Length)
	case v.Number != nil:
		return json.Marshal(*v.Number)
	case v.List != nil:
		return json.Marshal(v.List)
	case v.Order != nil:
		return json.Marshal(v.Order)
	}
	return json.Marshal(v.Text)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (v *Value) UnmarshalJSON(data []byte) error {
	*v = Value{}
	data = bytes.TrimSpace(data)
	if len(data) == 0 {
		return fmt.Errorf("value: empty")
	}
	switch data[0] {
	case '{':
		return json.Unmarshal(data, &v.Length)
	case '"':
		return json.Unmarshal(data, &v.Text)
	case '[':
		if err := json.Unmarshal(data, &v.List); err == nil {
			return nil
		}
		v.List = nil
		return json.Unmarshal(data, &v.Order)
	}
	return json.Unmarshal(data, &v.Number)
}

// String writes the value for people, without a unit for numbers.
func (v Value) String() string {
	switch {
	case v.Length != nil:
		return strconv.FormatFloat(v.Length.MM(), 'g', 9, 64) + " mm"
	case v.Number != nil:
		return strconv.FormatFloat(*v.Number, 'g', 9, 64)
	case v.List != nil:
		parts := make([]string, len(v.List))
		for i, n := range v.List {
			parts[i] = strconv.Itoa(n)
		}
		return strings.Join(parts, ", ")
	case v.Order != nil:
		return strings.Join(v.Order, ", ")
	}
	return v.Text
}

// InOrder reports whether the order holds all of some, one after the other, with
// or without others between them.
func InOrder(order, some []string) bool {
	for _, id := range order {
		if len(some) > 0 && id == some[0] {
			some = some[1:]
		}
	}
	return len(some) == 0
}
