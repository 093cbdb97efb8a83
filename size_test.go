package sallyport_test

import (
	"encoding/json"
	"strings"
	"testing"

	"sallyport"

	"pgregory.net/rapid"
)

func TestCheckListed(t *testing.T) {
	list := func(value string, n int) string { return "[" + strings.Repeat(value+",", n-1) + value + "]" }
	most := sallyport.MostListed
	for name, tt := range map[string]struct {
		text string
		good bool
	}{
		"as many":            {list("{}", most), true},
		"one more":           {list("{}", most+1), false},
		"nothings":           {list("null", most+1), false},
		"numbers, spaced":    {list(" 1\n", most+1), false},
		"lists of nothing":   {list("[]", most+1), false},
		"in several lists":   {`{"a":` + list("{}", most/2) + `,"b":` + list(`"x"`, most/2) + `}`, true},
		"one more of them":   {`{"a":` + list("{}", most/2) + `,"b":` + list(`"x"`, most/2+1) + `}`, false},
		"one within another": {strings.Repeat("[", most+2), false},
		"fields are none":    {`{` + strings.Repeat(`"a":1,`, most+1) + `"b":2}`, true},
		"commas in texts":    {`["` + strings.Repeat(`,\",[`, most) + `"]`, true},
		"no JSON":            {`]}]} "`, true},
		"nothing":            {"", true},
	} {
		if err := sallyport.CheckListed([]byte(tt.text)); (err == nil) != tt.good {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestCheckListedCounts: the values counted are those that a decoder finds.
func TestCheckListedCounts(t *testing.T) {
	var counted func(v any) int
	counted = func(v any) (n int) {
		switch v := v.(type) {
		case []any:
			n = len(v)
			for _, x := range v {
				n += counted(x)
			}
		case map[string]any:
			for _, x := range v {
				n += counted(x)
			}
		}
		return n
	}
	value := rapid.Custom(func(t *rapid.T) any { return anyJSON(t, 3) })
	rapid.Check(t, func(t *rapid.T) {
		v := value.Draw(t, "value")
		text, err := json.MarshalIndent(v, "", rapid.SampledFrom([]string{"", " "}).Draw(t, "indent"))
		if err != nil {
			t.Fatal(err)
		}
		// As many more as reach the limit, and one too many.
		rest := sallyport.MostListed - counted(v)
		with := func(n int) []byte {
			return []byte(`{"v":` + string(text) + `,"w":[0` + strings.Repeat(",0", n-1) + `]}`)
		}
		if err := sallyport.CheckListed(with(rest)); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if sallyport.CheckListed(with(rest+1)) == nil {
			t.Fatalf("%s: one too many passes", text)
		}
	})
}

func anyJSON(t *rapid.T, depth int) any {
	kind := rapid.IntRange(0, 4).Draw(t, "kind")
	if depth == 0 {
		kind %= 3
	}
	switch kind {
	case 0:
		return nil
	case 1:
		return rapid.Int().Draw(t, "number")
	case 2:
		return rapid.StringOf(rapid.RuneFrom([]rune(`a"\,[]{}: `))).Draw(t, "text")
	case 3:
		list := []any{}
		for range rapid.IntRange(0, 3).Draw(t, "length") {
			list = append(list, anyJSON(t, depth-1))
		}
		return list
	default:
		fields := map[string]any{}
		for range rapid.IntRange(0, 3).Draw(t, "fields") {
			fields[rapid.StringOf(rapid.RuneFrom([]rune(`ab",[`))).Draw(t, "name")] = anyJSON(t, depth-1)
		}
		return fields
	}
}
