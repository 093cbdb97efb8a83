package picture

import (
	"testing"

	"sallyport"
)

func BenchmarkSVG(b *testing.B) {
	show, state := crowded()
	o := Options{Due: []sallyport.UnitID{"v1"}, Inline: true}
	for b.Loop() {
		SVG(show, state, o)
	}
}

func BenchmarkTerminal(b *testing.B) {
	show, state := crowded()
	for b.Loop() {
		Terminal(show, state, Options{})
	}
}
