package generate

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"sync"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// at returns what stands at a JSON pointer of an answer, as a part of the kind
// answers it.
func at(a *threadmath.Answer, pointer, kind string) (*curriculum.Value, error) {
	v := reflect.ValueOf(a).Elem()
	for _, key := range strings.Split(strings.TrimPrefix(pointer, "/"), "/") {
		for v.Kind() == reflect.Pointer && !v.IsNil() {
			v = v.Elem()
		}
		switch v.Kind() {
		case reflect.Struct:
			i, ok := fieldsOf(v.Type())[key]
			if !ok {
				return nil, fmt.Errorf("the answer has no %s", pointer)
			}
			v = v.Field(i)
		case reflect.Slice:
			i, err := strconv.Atoi(key)
			if err != nil || i < 0 || i >= v.Len() {
				return nil, reject("the answer has no %s", pointer)
			}
			v = v.Index(i)
		default:
			return nil, reject("the answer has no %s", pointer)
		}
	}
	for v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return nil, reject("the answer has no %s", pointer)
		}
		v = v.Elem()
	}
	switch x := v.Interface().(type) {
	case threadmath.Dimension:
		return curriculum.LengthValue(x), nil
	case float64:
		return curriculum.NumberValue(tidy(x)), nil
	case int:
		return curriculum.NumberValue(float64(x)), nil
	case threadmath.Ratio:
		if kind == curriculum.KindRatio {
			return curriculum.TextValue(x.String()), nil
		}
		return curriculum.NumberValue(x.Float64()), nil
	case threadmath.RatioText:
		if kind == curriculum.KindRatio {
			return curriculum.TextValue(x.String()), nil
		}
		return curriculum.NumberValue(x.Float64()), nil
	case threadmath.Whole:
		return curriculum.NumberValue(x.Float64()), nil
	case string:
		if x == "" {
			return nil, reject("the answer has no %s", pointer)
		}
		return curriculum.TextValue(x), nil
	case []int:
		return &curriculum.Value{List: append([]int{}, x...)}, nil
	}
	return nil, fmt.Errorf("%s is no answer of a part", pointer)
}

var fieldCache sync.Map // reflect.Type → map[string]int

func fieldsOf(t reflect.Type) map[string]int {
	if m, ok := fieldCache.Load(t); ok {
		return m.(map[string]int)
	}
	m := map[string]int{}
	for i := range t.NumField() {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		m[name] = i
	}
	fieldCache.Store(t, m)
	return m
}
