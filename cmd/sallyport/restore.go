package main

import (
	"time"

	"sallyport/internal/store"
)

var restoreCommand = command{
	name: "restore",
	help: "Put a backup in the place of the shows that are kept, and keep those beside it.",
	args: func() arguments { return &restoreArgs{} },
}

type restoreArgs struct {
	Backup string `arg:"" help:"The backup: a file that serve or backup wrote."`
	databaseFlags
}

func (a *restoreArgs) Help() string {
	return `Stop the planning table first. A backup that is cut off or damaged is refused and
nothing is changed. What was there before is kept beside it.

Example:

  sallyport restore backups/sallyport-20270624-060000.db`
}

func (a *restoreArgs) Run(c *console) error {
	path, err := a.path()
	if err != nil {
		return err
	}
	before, err := store.RestoreBackup(c.ctx, a.Backup, path, time.Now())
	if err != nil {
		return err
	}
	c.say("The shows of " + a.Backup + " are now those of " + path + ".")
	if before != "" {
		c.answer.Files = append(c.answer.Files, file{Path: before, What: "what was there before"})
	}
	return nil
}
