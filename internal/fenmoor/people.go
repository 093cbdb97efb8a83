package fenmoor

import sp "sallyport"

// people returns everybody who is named in the show: drivers of about half of
// the vehicles, and the marshals.
func people() []sp.Person {
	list := []sp.Person{
		{ID: "tolliver", Name: "Bram Tolliver"},
		{ID: "wray", Name: "Isolde Wray"},
		{ID: "quill", Name: "Ned Quill"},
		{ID: "marram", Name: "Tess Marram"},
		{ID: "fennick", Name: "Gil Fennick"},
		{ID: "ostler", Name: "Una Ostler"},
		{ID: "hassock", Name: "Walt Hassock"},
		{ID: "sallow", Name: "Enid Sallow"},
		{ID: "reedham", Name: "Jem Reedham"},
		{ID: "dyker", Name: "Rufus Dyker"},
		{ID: "causey", Name: "Maud Causey"},
		{ID: "osier", Name: "Clem Osier"},
		{ID: "bulrush", Name: "Fay Bulrush"},
		{ID: "withy", Name: "Alby Withy"},
		{ID: "lodeman", Name: "Cass Lodeman"},
		{ID: "pingle", Name: "Theo Pingle"},
		{ID: "sluice", Name: "Marta Sluice"},
		{ID: "holm", Name: "Odd Holm"},
		{ID: "carr", Name: "Bess Carr"},
		{ID: "levee", Name: "Hugo Levee"},
		{ID: "meare", Name: "Ivy Meare"},
		{ID: "stoker", Name: "Abel Stoker"},
		{ID: "thorogate", Name: "Winnie Thorogate"},
		{ID: "ashlode", Name: "Piers Ashlode"},
		{ID: "sedgeworth", Name: "Amos Sedgeworth"},
		{ID: "clay", Name: "Hester Clay"},
		{ID: "ouseby", Name: "Rowan Ouseby"},
		{ID: "penfold", Name: "Jory Penfold"},
		{ID: "sapper-ives", Name: "Sapper Ives"},
		{ID: "lance-pryor", Name: "Lance Corporal Pryor"},
		{ID: "corporal-haddow", Name: "Corporal Haddow"},
	}
	for i := range list {
		list[i].Roles = []string{"driver"}
	}
	for _, m := range []sp.Person{
		{ID: "gate", Name: "Ottoline Gate"},
		{ID: "stile", Name: "Barnaby Stile"},
		{ID: "culvert", Name: "Prue Culvert"},
		{ID: "wicket", Name: "Sid Wicket"},
		{ID: "towpath", Name: "Lena Towpath"},
	} {
		m.Roles = []string{"marshal"}
		list = append(list, m)
	}
	return append(list, sp.Person{ID: "brink", Name: "Harriet Brink", Roles: []string{"park control"}})
}
