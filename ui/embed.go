// Package ui holds the screens of the planning table as they were built into
// the program.
package ui

import (
	"embed"
	"io/fs"
)

//go:embed all:dist
var dist embed.FS

// Screens returns the built screens, index.html and what belongs to it. A
// program that was built without them has none of these files.
func Screens() (fs.FS, error) { return fs.Sub(dist, "dist") }
