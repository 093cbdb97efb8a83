package desk_test

import (
	"context"
	"testing"

	"sallyport"
	"sallyport/internal/desk"
	"sallyport/internal/solve"
	"sallyport/internal/together"
)

// TestFaultWhileLooking: a fault in one of the looks at changes, which are made
// side by side, comes to who asked.
func TestFaultWhileLooking(t *testing.T) {
	show, plan := smallShow(t)
	planner := &desk.Planner{Workers: 2, Look: func(context.Context, *sallyport.Show, *sallyport.Plan, uint64) (*solve.Outlook, error) {
		panic("a fault")
	}}
	defer func() {
		if f := together.FaultOf(recover()); f.Value != "a fault" {
			t.Errorf("heard %v", f.Value)
		}
	}()
	_, err := desk.Explain(t.Context(), show, &plan, desk.ExplainOptions{PerTerm: 5, Cures: true, Planner: planner}, nil)
	t.Errorf("it was explained: %v", err)
}
