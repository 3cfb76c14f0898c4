package lathesim

import "math/big"

// slide is the compound slide, moved by a screw with lost motion.
type slide struct {
	screw, at *big.Rat // what the screw was wound to; where the slide is
	backlash  *big.Rat
}

// wind turns the screw: the slide stays until one flank or the other of its nut is reached.
func (s *slide) wind(distance *big.Rat) {
	s.screw = add(s.screw, distance)
	if low := sub(s.screw, s.backlash); s.at.Cmp(low) < 0 {
		s.at = low
	}
	if s.at.Cmp(s.screw) > 0 {
		s.at = s.screw
	}
}

// push moves the slide as far as its lost motion lets a force move it, towards the headstock when sign is positive.
func (s *slide) push(sign int) {
	if sign > 0 {
		s.at = s.screw
	} else {
		s.at = sub(s.screw, s.backlash)
	}
}

// WindSlide turns the compound slide's screw by distance, mm: positive moves the tool towards the headstock.
func (l *Lathe) WindSlide(distance *big.Rat) { l.slide.wind(distance) }

// MoveCrossSlide moves the cross-slide by distance, mm, into the work when positive.
func (l *Lathe) MoveCrossSlide(distance *big.Rat) { l.crossSlide = add(l.crossSlide, distance) }
