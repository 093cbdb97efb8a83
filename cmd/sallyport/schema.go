package main

import (
	"encoding/json"

	"sallyport/internal/workbook"
)

var schemaCommand = command{
	name: "schema",
	help: "Print the JSON Schema of shows and plans.",
	args: func() arguments { return &schemaArgs{} },
}

type schemaArgs struct{}

func (a *schemaArgs) Help() string {
	return `A JSON file of a show or a plan that fits the schema can be read; what it means
is described in docs/format.md.

Example:

  sallyport schema > sallyport.schema.json`
}

func (a *schemaArgs) Run(c *console) error {
	c.answer.raw = workbook.Schema()
	c.answer.Result = json.RawMessage(c.answer.raw)
	return nil
}
