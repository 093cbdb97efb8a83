package main

import (
	"os"
	"path/filepath"
	"runtime"

	"sallyport"
	"sallyport/internal/store"
)

// databaseFlags say in which file shows are kept.
type databaseFlags struct {
	DB string `name:"db" help:"The file in which shows are kept. Without it: in the folder for your data." placeholder:"FILE"`
}

// path returns the path of the file, made absolute.
func (f databaseFlags) path() (string, error) {
	if f.DB == "" {
		return store.DefaultPath(runtime.GOOS, os.Getenv)
	}
	path, err := filepath.Abs(f.DB)
	if err != nil {
		return "", sallyport.Errorf(sallyport.CodeInput, "give its whole path", "%s cannot be found (%s)", f.DB, err)
	}
	return path, nil
}
