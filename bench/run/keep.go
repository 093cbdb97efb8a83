package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
)

// keptCase is a file of the folder of results: what was measured, and how.
type keptCase struct {
	How    json.RawMessage `json:"how"`
	Result json.RawMessage `json:"result"`
}

// kept returns the result of one case: the one in the folder of results if it
// was measured the same way, else what measure returns, which is written
// there. The result is missing when ctx has ended, when measure was stopped by
// that, and when nothing is to be measured.
func kept[T any](ctx context.Context, s settings, name string, how any, measure func() (T, error)) (result T, ok bool, err error) {
	wanted, err := json.Marshal(how)
	if err != nil {
		return result, false, err
	}
	file := filepath.Join(s.keep, name+".json")
	if s.keep != "" {
		if found, err := readCase(file, wanted, &result); found || err != nil {
			return result, found, err
		}
	}
	if s.print || ctx.Err() != nil {
		return result, false, nil
	}
	if result, err = measure(); ctx.Err() != nil {
		return result, false, nil
	}
	if err != nil || s.keep == "" {
		return result, err == nil, err
	}
	return result, true, writeCase(s.keep, file, wanted, result)
}

// readCase reads a result that was measured as wanted; found is false when
// there is none.
func readCase(file string, wanted []byte, result any) (found bool, err error) {
	text, err := os.ReadFile(file)
	if os.IsNotExist(err) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	var c keptCase
	var how bytes.Buffer
	if json.Unmarshal(text, &c) != nil || json.Compact(&how, c.How) != nil || !bytes.Equal(how.Bytes(), wanted) {
		return false, nil // cut short, or measured otherwise
	}
	return true, json.Unmarshal(c.Result, result)
}

// writeCase writes a result whole or not at all.
func writeCase(folder, file string, how []byte, result any) error {
	text, err := json.Marshal(result)
	if err != nil {
		return err
	}
	text, err = json.MarshalIndent(keptCase{How: how, Result: text}, "", " ")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	if err := os.WriteFile(file+".part", text, 0o666); err != nil {
		return err
	}
	return os.Rename(file+".part", file)
}
