package plant

import (
	"fmt"
	"sort"

	sp "sallyport"
)

// planted writes the played yard as a show.
func (y *yard) planted() *Planted {
	show := y.show()
	p := &Planted{Show: show, Plan: y.plan(show), Aside: y.aside, Used: y.tight, Crosses: y.crosses()}
	for v := range y.vehicles {
		stays := y.vehicles[v].stays
		p.Stays += len(stays)
		for i, s := range stays {
			if i > 0 && s.lane != stays[i-1].lane {
				p.Changes++
			}
			p.Places = append(p.Places, y.placement(v, s))
		}
	}
	for _, l := range p.Show.Park.Lanes {
		p.Room += l.Length
	}
	return p
}

func (y *yard) placement(v int, s stay) sp.Placement {
	p := sp.Placement{Unit: unitID(v), Lane: laneID(s.lane)}
	if s.after >= 0 {
		p.After = string(y.serialID(s.after))
		return p
	}
	p.Place = y.start[v]
	return p
}

func unitID(v int) sp.UnitID { return sp.UnitID(fmt.Sprintf("v%04d", v+1)) }
func laneID(l int) sp.LaneID { return sp.LaneID(fmt.Sprintf("L%04d", l+1)) }
func zoneID(z int) sp.ZoneID { return sp.ZoneID(fmt.Sprintf("zone%d", z+1)) }
func (y *yard) serialID(n int) sp.SerialID {
	return sp.SerialID(fmt.Sprintf("d%d-s%d", n/y.opt.Serials+1, n%y.opt.Serials+1))
}

func (y *yard) show() *sp.Show {
	show := &sp.Show{
		Format: sp.FormatShow, Name: fmt.Sprintf("planted show %d", y.opt.Seed),
		Park:    y.park(),
		Serials: y.programme(),
		Weights: sp.DefaultWeights(),
	}
	for d := range y.opt.Days {
		show.Days = append(show.Days, sp.Day{
			Name: fmt.Sprintf("Day %d", d+1), Kind: sp.ShowDay,
			EngineFrom: sp.At(d+1, 6, 0), EngineTo: sp.At(d+1, 23, 0),
		})
	}
	for v := range y.vehicles {
		show.Vehicles = append(show.Vehicles, y.vehicle(v))
	}
	if y.opt.Plain {
		w := &show.Weights
		w.Entry, w.Told, w.Issue, w.Together, w.IdlePercent, w.HeavyMetre = 0, 0, 0, 0, 0, 0
		return show
	}
	for d := 1; d < y.opt.Days; d++ {
		show.Resets = append(show.Resets, sp.ResetWindow{
			ID: sp.WindowID(fmt.Sprintf("evening%d", d)), From: sp.At(d, 21, 10), To: sp.At(d, 22, 50), Awkward: 120,
		})
	}
	return show
}

// vehicle writes one vehicle; all wait and warm up without limits, so that
// the clock decides nothing.
func (y *yard) vehicle(v int) sp.Vehicle {
	c := y.vehicles[v]
	none := func() *sp.Seconds { return new(sp.Seconds) }
	vehicle := sp.Vehicle{
		ID: unitID(v), Name: fmt.Sprintf("Vehicle %d", v+1), Class: c.kind.class,
		Length: c.length, Mass: c.mass, StartWord: c.word, Start: sp.StartSelf, Reverse: sp.ReverseYes,
		WarmUp: none(), WarmWhere: sp.WarmAtMouth, LongestIdle: none(), HotRest: none(), CoolDown: none(),
		Zones: []sp.ZoneID{zoneID(y.zoneOf[c.stays[0].lane])},
	}
	if y.opt.Plain {
		vehicle.Class, vehicle.StartWord, vehicle.Mass = kinds[0].class, sp.StartsWell, 0
	}
	return vehicle
}

func (y *yard) park() sp.Park {
	park := sp.Park{
		Lines: []sp.Line{
			{ID: lines[0], Out: sp.OutFree, Home: sp.HomeAnyOrder, Gap: 100},
			{ID: lines[1], Out: sp.OutFree, Home: sp.HomeAnyOrder, Gap: 100},
		},
		Spots: []sp.Spot{{ID: spot, Use: sp.SpotAside}},
		Paces: []sp.Pace{{Takes: pace}},
	}
	for z := range y.opt.Zones {
		park.Zones = append(park.Zones, sp.Zone{ID: zoneID(z)})
	}
	for l, length := range y.lengths() {
		park.Lanes = append(park.Lanes, sp.Lane{
			ID: laneID(l), Zone: zoneID(y.zoneOf[l]), Kind: sp.DeadEnd, In: sp.InReversed, Gap: gap, Length: length,
		})
	}
	return park
}

// lengths cuts the lanes: each as long as it ever has to be, and the rest of
// the wanted spare room shared out in proportion. Exchanges of unequal pairs
// may need a little more than that; then there is more spare room.
func (y *yard) lengths() []sp.Centimetres {
	share := sp.Centimetres(100 - y.opt.Spare)
	total := (y.tight*100 + share - 1) / share
	var sum sp.Centimetres
	for _, n := range y.need {
		sum += n
	}
	spare := max(0, total-sum)
	lengths := make([]sp.Centimetres, len(y.need))
	var before, given sp.Centimetres
	for l, n := range y.need {
		before += n
		upTo := spare * before / sum
		lengths[l] = n + upTo - given
		given = upTo
	}
	return lengths
}

// programme writes the serials, one an hour from nine, on two lines in turn.
func (y *yard) programme() []sp.Serial {
	var list []sp.Serial
	for n, entries := range y.serials {
		serial := y.times(n)
		for _, v := range entries {
			serial.Entries = append(serial.Entries, sp.Entry{ID: entryID(serial.ID, v), Unit: unitID(v)})
		}
		list = append(list, serial)
	}
	return list
}

// crosses counts the pairs of stays of different vehicles of one zone of
// which the one that came later also leaves later, before which the other
// left: in one dead-end lane they would cross. Equal moments do not cross.
func (y *yard) crosses() int {
	byZone := make([][]stay, y.opt.Zones)
	for _, c := range y.vehicles {
		z := y.zoneOf[c.stays[0].lane]
		byZone[z] = append(byZone[z], c.stays...)
	}
	count := 0
	for _, list := range byZone {
		sort.Slice(list, func(i, j int) bool { return list[i].from < list[j].from })
		for i, a := range list {
			for _, b := range list[i+1:] {
				if b.from >= a.to {
					break
				}
				if a.from < b.from && a.to < b.to {
					count++
				}
			}
		}
	}
	return count
}
