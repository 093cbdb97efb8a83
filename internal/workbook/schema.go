package workbook

import (
	"encoding/json"
	"reflect"
	"strings"

	sp "sallyport"
)

var instantType = reflect.TypeFor[sp.Instant]()

// enums lists the words that the types of words may hold.
var enums = map[reflect.Type][]string{
	reflect.TypeFor[sp.Gear]():        wordValues(gearWords),
	reflect.TypeFor[sp.ReverseRule](): wordValues(reverseWords),
	reflect.TypeFor[sp.StartRule]():   wordValues(startWords),
	reflect.TypeFor[sp.WarmPlace]():   wordValues(warmWords),
	reflect.TypeFor[sp.StartWord]():   wordValues(chanceWords),
	reflect.TypeFor[sp.Binding]():     wordValues(bindingWords),
	reflect.TypeFor[sp.LaneKind]():    wordValues(laneWords),
	reflect.TypeFor[sp.DriveIn]():     wordValues(driveInWords),
	reflect.TypeFor[sp.OutRule]():     wordValues(outWords),
	reflect.TypeFor[sp.HomeRule]():    wordValues(homeWords),
	reflect.TypeFor[sp.SpotUse]():     wordValues(spotUseWords),
	reflect.TypeFor[sp.DayKind]():     wordValues(dayKindWords),
	reflect.TypeFor[sp.Join]():        wordValues(joinWords),
	reflect.TypeFor[sp.MoveKind]():    wordValues(moveKindWords),
	reflect.TypeFor[sp.PosKind]():     {string(sp.InAway), string(sp.InLane), string(sp.InLine), string(sp.InArena), string(sp.InSpot), string(sp.InDuty)},
	reflect.TypeFor[sp.End]():         {string(sp.Mouth), string(sp.Tail)},
}

// units says what the numbers of a type count.
var units = map[reflect.Type]string{
	reflect.TypeFor[sp.Centimetres](): "whole centimetres",
	reflect.TypeFor[sp.Kilograms]():   "whole kilograms",
	reflect.TypeFor[sp.Seconds]():     "whole seconds",
	reflect.TypeFor[sp.Chance]():      "chance in 1/10,000; 10,000 is certain",
	reflect.TypeFor[sp.Amount]():      "weighted people-seconds",
}

// jsonField is a field of a struct as JSON has it.
type jsonField struct {
	name     string
	typ      reflect.Type
	optional bool
}

// jsonFields lists the fields of a struct that are written as JSON.
func jsonFields(t reflect.Type) []jsonField {
	var fields []jsonField
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "-" || !f.IsExported() {
			continue
		}
		if name == "" {
			name = f.Name
		}
		fields = append(fields, jsonField{name, f.Type, strings.Contains(options, "omit")})
	}
	return fields
}

// Schema returns the JSON Schema (2020-12) of shows and plans. It is made
// from the types that are read and written, so it cannot fall behind them;
// descriptions come from the sheets' explanations.
func Schema() []byte {
	m := schemaMaker{defs: map[string]any{}, help: columnHelp()}
	doc := map[string]any{
		"$schema":     "https://json-schema.org/draft/2020-12/schema",
		"title":       "Sallyport show or plan",
		"description": "The format string says which of the two a file is, and its version.",
		"oneOf":       []any{m.schema(reflect.TypeFor[sp.Show](), ""), m.schema(reflect.TypeFor[sp.Plan](), "")},
		"$defs":       m.defs,
	}
	m.constant("Show", sp.FormatShow)
	m.constant("Plan", sp.FormatPlan)
	b, err := json.MarshalIndent(doc, "", "  ")
	if err != nil {
		panic(err) // only maps, slices and texts are in it
	}
	return append(b, '\n')
}

// schemaMaker turns types into schemas; structs become definitions.
type schemaMaker struct {
	defs map[string]any
	help map[string]string // by kind and field
}

// required are the fields an object of a type means nothing without;
// everything else may be missing.
var required = map[string][]string{
	"Show": {"format", "vehicles", "park", "serials"}, "Park": {"lanes"}, "Vehicle": {"id", "name"}, "Lane": {"id", "length_cm"},
	"Serial": {"id", "entries"}, "Entry": {"id", "unit"}, "Combination": {"id", "tower", "towed"}, "Duty": {"id", "unit", "from", "to"},
	"Closing": {"zone", "closed", "reopened"}, "ResetWindow": {"id", "from", "to"}, "Zone": {"id"}, "Stretch": {"id"}, "Line": {"id"},
	"Spot": {"id", "use"}, "Person": {"id", "name"}, "Foul": {"from_cm", "to_cm", "lanes"}, "Pace": {"takes_s"}, "Class": {"name"},
	"Plan": {"format", "start", "moves"}, "Move": {"id", "kind", "from", "to", "start", "takes_s"}, "Pos": {"kind"}, "LaneLayout": {"lane", "units"},
	"Day": {"name"},
}

func (m *schemaMaker) schema(t reflect.Type, help string) map[string]any {
	s := m.bare(t)
	if help != "" {
		if unit, ok := s["description"].(string); ok {
			help += " (" + unit + ")"
		}
		s["description"] = help
	}
	return s
}

func (m *schemaMaker) bare(t reflect.Type) map[string]any {
	if t == instantType {
		return map[string]any{
			"type": "string", "description": "moment of the show: day and time",
			"pattern": `^([Dd][0-9]{1,4} [0-9]{2}:[0-9]{2}(:[0-9]{2})?)?$`, "examples": []any{"D3 10:30"},
		}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return m.bare(t.Elem())
	case reflect.Struct:
		m.define(t)
		return map[string]any{"$ref": "#/$defs/" + t.Name()}
	case reflect.Slice:
		return map[string]any{"type": []any{"array", "null"}, "items": m.bare(t.Elem())}
	case reflect.Map:
		return map[string]any{"type": []any{"object", "null"}, "additionalProperties": m.bare(t.Elem())}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.String:
		s := map[string]any{"type": "string"}
		if words := enums[t]; len(words) > 0 {
			list := []any{""}
			for _, w := range words {
				list = append(list, w)
			}
			s["enum"] = list
		}
		return s
	}
	s := map[string]any{"type": "integer"}
	if t.Kind() == reflect.Uint64 {
		s["minimum"] = 0
	}
	if unit := units[t]; unit != "" {
		s["description"] = unit
	}
	return s
}

// define adds the definition of a struct, once.
func (m *schemaMaker) define(t reflect.Type) {
	name := t.Name()
	if _, done := m.defs[name]; done {
		return
	}
	properties := map[string]any{}
	def := map[string]any{"type": "object", "properties": properties, "additionalProperties": false}
	m.defs[name] = def
	for _, f := range jsonFields(t) {
		properties[f.name] = m.schema(f.typ, m.help[strings.ToLower(name)+" "+f.name])
	}
	if must := required[name]; len(must) > 0 {
		list := make([]any, len(must))
		for i, f := range must {
			list[i] = f
		}
		def["required"] = list
	}
}

// constant pins the format string of a definition.
func (m *schemaMaker) constant(name, format string) {
	properties := m.defs[name].(map[string]any)["properties"].(map[string]any)
	properties["format"] = map[string]any{"const": format}
}

// columnHelp collects the explanations of the sheets' columns by kind and
// field.
func columnHelp() map[string]string {
	help := map[string]string{}
	for _, k := range sheetKinds {
		for i, h := range k.heads {
			if text := k.titles[i].help; text != "" {
				help[k.kind+" "+h.field] = text
			}
		}
	}
	return help
}
