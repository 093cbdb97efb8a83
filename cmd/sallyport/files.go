package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"sallyport"
)

// outFlags say what may be written over.
type outFlags struct {
	Force bool `short:"f" help:"Write over files that exist."`
}

// write writes one file: wholly or not at all, and over an existing one only
// when that is allowed.
func (o outFlags) write(c *console, path, what string, content func(w io.Writer) error) error {
	if err := o.free(path); err != nil {
		return err
	}
	var data bytes.Buffer
	if err := content(&data); err != nil {
		return err
	}
	if err := replace(path, data.Bytes()); err != nil {
		return sallyport.Errorf(sallyport.CodeInput, "check that the folder exists and that you may write there", "%s cannot be written (%s)", path, plainReason(err))
	}
	c.answer.Files = append(c.answer.Files, file{Path: path, What: what})
	return nil
}

// free returns an error when something exists at path that must stay.
func (o outFlags) free(path string) error {
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return sallyport.Errorf(sallyport.CodeInput, "give the name of a file", "%s is a folder", path)
	case err == nil && !o.Force:
		return sallyport.Errorf(sallyport.CodeInput, "give another name, or --force to write over it", "%s exists", path)
	}
	return nil
}

// replace puts data at path through a file beside it, so that a reader sees
// the old contents or the new, never a part.
func replace(path string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".sallyport-*")
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	err = errors.Join(err, f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}

// folder makes a folder and those above it.
func folder(path string) error {
	if err := os.MkdirAll(path, 0o755); err != nil {
		return sallyport.Errorf(sallyport.CodeInput, "give another folder", "%s cannot be made (%s)", path, plainReason(err))
	}
	return nil
}

// plainReason returns the part of a file system error that does not repeat
// the path.
func plainReason(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return fmt.Sprint(err)
}
