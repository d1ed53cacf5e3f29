package main

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"lapwright/report"
)

// forms are what the pages are answered with and what they send; what these hold is found from them.
var forms = []any{
	report.Placed{}, report.Fault{}, report.TuneSettings{}, report.Choices{}, report.Ranking{}, report.Words{}, report.Said{}, report.Text{}, report.Refusal{},
	report.TypedTab{}, report.BroughtTunes{}, report.BroughtTab{}, report.CheckedRig{}, report.StringEdit{}, report.GripNeck{}, report.TouchedGrip{},
	report.LessonPlan{}, report.LessonJob{}, report.Progress{}, report.Item{}, report.SheetPages{},
	report.Asked{}, report.ScreenSheet{}, report.Refused{}, report.Instruments{}, report.CheckedInstrument{}, report.OnInstrument{}, report.Wished{}, report.Where{}, report.HeardTake{}, report.TakesCompared{}, report.Landing{}, report.Now{}, report.Open{}, report.CarriedTab{}, report.Tuner{},
	report.AskedChange{}, report.AskedStep{}, report.AskedNote{}, report.AskedText{}, report.AskedFile{}, report.AskedGrip{}, report.AskedRigEdit{},
	report.AskedTakeNote{}, report.BroughtTake{}, report.SavedTake{}, report.MeasuredDelay{},
}

// formsFile is where their types stand, below source.
const formsFile = "forms.ts"

// typescript writes the types of the forms, and of all that they hold, in
// TypeScript. It panics at a type that has no place in JSON.
func typescript(forms []any) []byte {
	w := typeWriter{bodies: map[string]string{}, of: map[string]reflect.Type{}}
	for _, f := range forms {
		w.name(reflect.TypeOf(f))
	}
	var names []string
	for n := range w.bodies {
		names = append(names, n)
	}
	slices.Sort(names)
	var out strings.Builder
	out.WriteString("// The forms in which the program answers and is asked, made from its room report by\n// internal/web/build: not written by hand. What each field holds is said there.\n")
	for _, n := range names {
		fmt.Fprintf(&out, "\nexport interface %s {\n%s}\n", n, w.bodies[n])
	}
	return []byte(out.String())
}

// typeWriter collects interfaces by their names.
type typeWriter struct {
	bodies map[string]string
	of     map[string]reflect.Type
}

// name returns the TypeScript for a type.
func (w *typeWriter) name(t reflect.Type) string {
	if t == reflect.TypeFor[json.RawMessage]() {
		return "Record<string, unknown>" // an object that is kept as it is
	}
	switch t.Kind() {
	case reflect.Bool:
		return "boolean"
	case reflect.String:
		return "string"
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Float32, reflect.Float64:
		return "number"
	case reflect.Slice:
		return w.name(t.Elem()) + "[]"
	case reflect.Array:
		return "[" + strings.TrimSuffix(strings.Repeat(w.name(t.Elem())+", ", t.Len()), ", ") + "]"
	case reflect.Map:
		return "Record<string, " + w.name(t.Elem()) + ">"
	case reflect.Pointer:
		return w.name(t.Elem())
	case reflect.Struct:
		w.add(t)
		return t.Name()
	}
	panic(fmt.Sprintf("the type %v has no place in a form", t))
}

func (w *typeWriter) add(t reflect.Type) {
	if before, ok := w.of[t.Name()]; ok {
		if before != t {
			panic(fmt.Sprintf("%v and %v have one name in the pages' code", before, t))
		}
		return
	}
	w.of[t.Name()] = t
	w.bodies[t.Name()] = ""
	w.bodies[t.Name()] = w.fields(t)
}

func (w *typeWriter) fields(t reflect.Type) string {
	var b strings.Builder
	for i := range t.NumField() {
		f := t.Field(i)
		tag, ok := f.Tag.Lookup("json")
		if f.Anonymous && !ok {
			b.WriteString(w.fields(f.Type))
			continue
		}
		if !f.IsExported() || tag == "-" {
			continue
		}
		name, options, _ := strings.Cut(tag, ",")
		if !ok || name == "" {
			panic(fmt.Sprintf("%v.%s has no name in JSON", t, f.Name))
		}
		mark := ""
		if strings.Contains(options, "omitempty") || strings.Contains(options, "omitzero") {
			mark = "?"
		}
		fmt.Fprintf(&b, "  %s%s: %s;\n", name, mark, w.name(f.Type))
	}
	return b.String()
}
