package curriculum

import "halfnut/threadmath"

// Units says in which unit system lengths are shown to somebody. It changes no
// exercise: what was printed is what is marked.
type Units string

// The systems a person can choose. UnitsOfJob is no choice made: the system of
// the job stands first and the other beside it.
const (
	UnitsOfJob Units = ""
	UnitsMM    Units = "mm"
	UnitsInch  Units = "in"
	UnitsBoth  Units = "both"
)

// UnitsNamed returns the units of a name; "" is UnitsOfJob. Anything else is a
// FieldError at the path.
func UnitsNamed(path, name string) (Units, error) {
	switch u := Units(name); u {
	case UnitsOfJob, UnitsMM, UnitsInch, UnitsBoth:
		return u, nil
	}
	return UnitsOfJob, &FieldError{Path: path, Value: name, Reason: "no unit system", Allowed: "mm, in, both"}
}

// First is the system that stands first, for a length of a job in its own
// system.
func (u Units) First(job threadmath.System) threadmath.System {
	switch u {
	case UnitsMM:
		return threadmath.Metric
	case UnitsInch:
		return threadmath.Inch
	}
	return job
}

// Both reports whether the other system stands beside the first.
func (u Units) Both() bool { return u == UnitsOfJob || u == UnitsBoth }

// Sheets is the system in which somebody's new sheets are printed unless they
// say otherwise, the workshop's where they chose none.
func (u Units) Sheets(workshop string) string {
	if u == UnitsMM || u == UnitsInch {
		return string(u)
	}
	return workshop
}
