package sallyport_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	gotoken "go/token"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"
)

// mayImport says which of our packages each package may import. A package
// that is not listed may import none; docs/architecture.md gives the reasons.
var mayImport = map[string][]string{
	"sallyport":                   {},
	"sallyport/internal/together": {},
	"sallyport/internal/solve":    {"sallyport", "sallyport/internal/together"},
	"sallyport/internal/clear":    {"sallyport"},
	"sallyport/internal/workbook": {"sallyport"},
	"sallyport/internal/paper":    {"sallyport"},
	"sallyport/internal/picture":  {"sallyport"},
	"sallyport/internal/fenmoor":  {"sallyport"},
	"sallyport/internal/rehearse": {"sallyport", "sallyport/internal/together"},
	"sallyport/internal/store":    {"sallyport"},
	"sallyport/internal/desk":     {"sallyport", "sallyport/internal/clear", "sallyport/internal/rehearse", "sallyport/internal/solve", "sallyport/internal/paper", "sallyport/internal/picture", "sallyport/internal/workbook", "sallyport/internal/together"},
	"sallyport/internal/web":      {"sallyport", "sallyport/internal/desk", "sallyport/internal/store", "sallyport/internal/workbook", "sallyport/internal/picture", "sallyport/internal/rehearse", "sallyport/internal/solve", "sallyport/internal/together"},
	"sallyport/ui":                {},
	"sallyport/bench/plant":       {"sallyport"},
	"sallyport/bench/run":         {"sallyport", "sallyport/bench/plant", "sallyport/internal/fenmoor", "sallyport/internal/rehearse", "sallyport/internal/solve", "sallyport/internal/clear", "sallyport/internal/fenmoor"},
	"sallyport/bench/rivals":      {"sallyport", "sallyport/bench/plant", "sallyport/internal/solve"},
	"sallyport/bench/load":        {"sallyport/internal/desk", "sallyport/internal/fenmoor", "sallyport/internal/store", "sallyport/internal/web"},
	"sallyport/cmd/sallyport": {
		"sallyport/internal/clear",
		"sallyport", "sallyport/internal/desk", "sallyport/internal/fenmoor", "sallyport/internal/paper",
		"sallyport/internal/picture", "sallyport/internal/rehearse", "sallyport/internal/solve", "sallyport/internal/workbook",
		"sallyport/internal/store", "sallyport/internal/web", "sallyport/ui",
	},
}

// notInDomain are packages that do input or output, read a clock or draw
// random numbers; the root package imports none of them.
var notInDomain = []string{"os", "io", "io/fs", "net", "net/http", "log", "log/slog", "math/rand", "math/rand/v2", "time", "context"}

// emptyNames are package names that say nothing about what is inside.
var emptyNames = []string{"util", "utils", "helper", "helpers", "common", "misc", "shared", "base"}

// source is one Go file of the repository.
type source struct {
	path string // from the root
	pkg  string // import path of its folder
	test bool
	file *ast.File
	fset *gotoken.FileSet
}

// sources parses every Go file of the module.
func sources(t *testing.T) []source {
	t.Helper()
	var list []source
	err := fs.WalkDir(os.DirFS("."), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if base := path.Base(name); name != "." && (strings.HasPrefix(base, ".") || base == "testdata" || base == "tools" || base == "node_modules" || base == "bin" || base == "out") {
				return fs.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(name, ".go") {
			return nil
		}
		fset := gotoken.NewFileSet()
		f, err := parser.ParseFile(fset, name, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		list = append(list, source{name, path.Join("sallyport", path.Dir(name)), strings.HasSuffix(name, "_test.go"), f, fset})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(list) < 20 {
		t.Fatalf("only %d Go files found: is the test run in the repository's root?", len(list))
	}
	return list
}

// TestImports holds the import map.
func TestImports(t *testing.T) {
	for _, s := range sources(t) {
		for _, spec := range s.file.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			ours := imported == "sallyport" || strings.HasPrefix(imported, "sallyport/")
			switch {
			case s.test: // tests may look at anything
			case ours && !slices.Contains(mayImport[s.pkg], imported):
				t.Errorf("%s imports %s, which %s may not: see mayImport in arch_test.go and docs/architecture.md", s.path, imported, s.pkg)
			case s.pkg == "sallyport" && slices.Contains(notInDomain, imported):
				t.Errorf("%s imports %s: the domain does no input or output, reads no clock and draws no random numbers", s.path, imported)
			}
		}
	}
}

// TestPackages checks names and package comments.
func TestPackages(t *testing.T) {
	documented := map[string]bool{}
	for _, s := range sources(t) {
		if s.test {
			continue
		}
		if slices.Contains(emptyNames, path.Base(s.pkg)) || slices.Contains(emptyNames, s.file.Name.Name) {
			t.Errorf("%s: name the package after what is in it", s.path)
		}
		documented[s.pkg] = documented[s.pkg] || s.file.Doc != nil
	}
	for pkg, ok := range documented {
		if !ok {
			t.Errorf("package %s has no package comment: say which question it answers", pkg)
		}
	}
}

// TestOutsideData checks that only tests and benchmarks read data beside the
// repository.
func TestOutsideData(t *testing.T) {
	for _, s := range sources(t) {
		if s.test || strings.HasPrefix(s.path, "bench/") {
			continue
		}
		for _, text := range literals(s) {
			if strings.Contains(text.value, "../shared") {
				t.Errorf("%s: only tests and benchmarks read data beside the repository", text.at)
			}
		}
	}
}

// wordsToAvoid are words that the program never says to its user, with what
// to say; docs/glossary.md gives the reasons.
var wordsToAvoid = map[string]string{
	"runner": "vehicle, entry", "berth": "place", "shunt": "move aside", "shunted": "moved aside",
	"casualty": "broken-down vehicle", "casualties": "broken-down vehicles", "trapped": "shut in",
	"optimal": "best possible for the rules and figures given", "infeasible": "not workable",
	"feasible": "workable", "legal": "workable", "illegal": "not workable",
}

// saysToUser reports whether the strings of a file can reach a user.
func saysToUser(s source) bool {
	return !s.test && !strings.HasPrefix(s.pkg, "sallyport/bench")
}

// TestWords looks for words to avoid in every string that reads like a
// sentence: two words or more. Names, keys and synonyms read from people's
// files are single words, or lower-case lists in the workbook's tables.
func TestWords(t *testing.T) {
	for _, s := range sources(t) {
		if !saysToUser(s) || strings.HasPrefix(s.path, "internal/workbook/synonym") {
			continue
		}
		for _, text := range literals(s) {
			words := strings.FieldsFunc(strings.ToLower(text.value), func(r rune) bool { return !unicode.IsLetter(r) })
			if len(words) < 2 {
				continue
			}
			for _, w := range words {
				if say, bad := wordsToAvoid[w]; bad {
					t.Errorf("%s says %q in %q; say: %s", text.at, w, text.value, say)
				}
			}
		}
	}
}

// TestWordsInDocs looks for the same words in what users read. The glossary
// names them, the algorithm's page is about the method.
func TestWordsInDocs(t *testing.T) {
	docs, err := fs.Glob(os.DirFS("."), "docs/*.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range append(docs, "README.md") {
		if name == "docs/glossary.md" || name == "docs/algorithm.md" {
			continue
		}
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for i, line := range strings.Split(string(text), "\n") {
			for _, w := range strings.FieldsFunc(strings.ToLower(line), func(r rune) bool { return !unicode.IsLetter(r) }) {
				if say, bad := wordsToAvoid[w]; bad {
					t.Errorf("%s:%d says %q; say: %s", name, i+1, w, say)
				}
			}
		}
	}
}

// literal is a string in the source.
type literal struct{ at, value string }

// literals returns all strings of a file but its imports.
func literals(s source) []literal {
	var list []literal
	ast.Inspect(s.file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.BasicLit:
			if n.Kind != gotoken.STRING {
				return true
			}
			if v, err := strconv.Unquote(n.Value); err == nil {
				p := s.fset.Position(n.Pos())
				list = append(list, literal{fmt.Sprintf("%s:%d", p.Filename, p.Line), v})
			}
		}
		return true
	})
	return list
}
