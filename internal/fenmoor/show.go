// Package fenmoor holds the demonstration show: the invented Fenmoor
// Collection's five days with 58 vehicles in a park that is a little too
// small. Vehicles, people, places and the programme are made up.
package fenmoor

import "sallyport"

// The days of the show: two of build-up, three with the public.
const (
	wed = 1 + iota
	thu
	fri
	sat
	sun
)

// Show returns the demonstration show as its people would give it: some
// figures are left out on purpose. Every call returns a new, equal show.
func Show() *sallyport.Show {
	return &sallyport.Show{
		Format:       sallyport.FormatShow,
		Name:         "Fenmoor Collection, midsummer show",
		FirstDate:    "2027-06-23",
		Zone:         "Europe/London",
		Days:         days(),
		Park:         park(),
		Vehicles:     vehicles(),
		Combinations: combinations(),
		Serials:      serials(),
		Duties:       duties(),
		People:       people(),
		Closings:     closings(),
		Resets:       resets(),
	}
}

func days() []sallyport.Day {
	return []sallyport.Day{
		{Name: "Wednesday", Kind: sallyport.BuildUp, EngineFrom: sallyport.At(wed, 8, 0), EngineTo: sallyport.At(wed, 20, 0), Teams: 3},
		{Name: "Thursday", Kind: sallyport.BuildUp, EngineFrom: sallyport.At(thu, 8, 0), EngineTo: sallyport.At(thu, 20, 30), Teams: 3},
		showDay("Friday", fri), showDay("Saturday", sat), showDay("Sunday", sun),
	}
}

func showDay(name string, day int) sallyport.Day {
	return sallyport.Day{
		Name: name, Kind: sallyport.ShowDay,
		PublicFrom: sallyport.At(day, 9, 30), PublicTo: sallyport.At(day, 17, 30),
		EngineFrom: sallyport.At(day, 7, 0), EngineTo: sallyport.At(day, 21, 0),
	}
}

// resets returns the evenings on which the park may be put right.
func resets() []sallyport.ResetWindow {
	return []sallyport.ResetWindow{
		{ID: "thu-evening", From: sallyport.At(thu, 18, 0), To: sallyport.At(thu, 20, 0)},
		{ID: "fri-evening", From: sallyport.At(fri, 18, 30), To: sallyport.At(fri, 20, 30), Awkward: 120},
		{ID: "sat-evening", From: sallyport.At(sat, 18, 30), To: sallyport.At(sat, 20, 30), Awkward: 120},
	}
}
