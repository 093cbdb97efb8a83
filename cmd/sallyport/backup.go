package main

import (
	"errors"
	"os"
	"path/filepath"
	"time"

	"sallyport"
	"sallyport/internal/store"
)

var backupCommand = command{
	name: "backup",
	help: "Write a consistent copy of all shows that are kept, also while they are in use.",
	args: func() arguments { return &backupArgs{} },
}

type backupArgs struct {
	To string `arg:"" optional:"" help:"The file to write. Without it: a name with the time, in the folder backups beside the shows."`
	databaseFlags
}

func (a *backupArgs) Help() string {
	return `The copy is checked before it gets its name, and nothing is written over. serve
makes backups by itself, at its start and every six hours.

Examples:

  sallyport backup
  sallyport backup /media/stick/shows.db`
}

func (a *backupArgs) Run(c *console) (err error) {
	path, err := a.path()
	if err != nil {
		return err
	}
	if _, err := os.Stat(path); err != nil {
		return sallyport.Errorf(sallyport.CodeInput, "say with --db where shows are kept", "no shows are kept in %s", path)
	}
	kept, err := store.Open(c.ctx, path, store.Options{Now: time.Now})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, kept.Close()) }()
	to := a.To
	if to == "" {
		to, err = kept.BackupInto(c.ctx, filepath.Join(filepath.Dir(path), "backups"))
	} else {
		err = kept.Backup(c.ctx, to)
	}
	if err != nil {
		return err
	}
	c.say("All shows of " + path + " are copied. sallyport restore brings them back.")
	c.answer.Files = append(c.answer.Files, file{Path: to, What: "the backup"})
	return nil
}
