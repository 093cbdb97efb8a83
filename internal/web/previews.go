package web

import "time"

type previews struct{ now func() time.Time }

func newPreviews(now func() time.Time) *previews { return &previews{now} }
