package solve

// moveIn gives homes that the prover has found to the stream that is furthest
// behind: a choice of homes that costs little is a good place to begin from,
// and in a park with little room hard to come by otherwise.
func (s *search) moveIn() {
	if s.proof == nil || s.opt.Warm != nil || len(s.opt.Sketch) > 0 || len(s.proof.homes) == s.moved {
		return
	}
	s.moved = len(s.proof.homes)
	worst := s.streams[0]
	for _, st := range s.streams {
		if st.best.worth() >= worst.best.worth() {
			worst = st
		}
	}
	worst.moveIn(s.proof.homes[s.moved-1])
}

// moveIn puts every unit at home for the whole show and begins from there;
// who has no home, or may not always be there, goes where it adds least.
func (st *stream) moveIn(homes []int32) {
	p := st.p
	for u := range p.units {
		st.b.take(int32(u))
	}
	var others, places []int32
	for u, home := range homes {
		places = places[:0]
		for s := p.units[u].firstStay; s < p.units[u].endStay && home != none; s++ {
			pl := p.placeAtHome(s, home)
			if pl == none {
				break
			}
			places = append(places, pl)
		}
		always := int32(len(places)) == p.units[u].endStay-p.units[u].firstStay
		if always {
			st.b.set(int32(u), places)
		}
		if !always || st.b.total >= impossible {
			st.b.take(int32(u))
			others = append(others, int32(u))
		}
	}
	st.reroute(others)
	st.best.copyFrom(st.b)
	st.better = st.b.steps
}

// placeAtHome is the first place of a stay that is in lane home, or none.
func (p *problem) placeAtHome(s, home int32) int32 {
	for _, pl := range p.stays[s].places {
		if p.places[pl].lane == home {
			return pl
		}
	}
	return none
}
