package main

import "runtime/debug"

var versionCommand = command{
	name: "version",
	help: "Print the version.",
	args: func() arguments { return &versionArgs{} },
}

type versionArgs struct{}

func (a *versionArgs) Help() string {
	return "The version is part of what makes a plan repeatable.\n\nExample:\n\n  sallyport version"
}

func (a *versionArgs) Run(c *console) error {
	v := version()
	c.answer.Summary = []string{"sallyport " + v}
	c.answer.Result = map[string]string{"version": v}
	return nil
}

// version returns the version of the build: the module's, or the commit it
// was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return "commit " + s.Value[:12]
		}
	}
	return "unreleased"
}
