package practice

import (
	"context"
	"io"
	"time"

	"halfnut/curriculum"
)

// Store is what this package needs kept. One method is one atomic act.
type Store interface {
	CreateWorkshop(ctx context.Context, w curriculum.Workshop, first curriculum.Person) error
	Workshop(ctx context.Context, id string) (curriculum.Workshop, error)
	UpdateWorkshop(ctx context.Context, w curriculum.Workshop, by string, now time.Time) error
	Workshops(ctx context.Context) ([]curriculum.Workshop, error)
	Person(ctx context.Context, id string) (curriculum.Person, error)
	People(ctx context.Context, workshop string) ([]curriculum.Person, error)
	SetPersonUnits(ctx context.Context, id string, u curriculum.Units) error
	EndPerson(ctx context.Context, p curriculum.Person, e *curriculum.Ending, by string, now time.Time) error

	CreateLathe(ctx context.Context, l curriculum.Lathe, by string) error
	UpdateLathe(ctx context.Context, l curriculum.Lathe, by string, now time.Time) error
	Lathe(ctx context.Context, id string) (curriculum.Lathe, error)
	Lathes(ctx context.Context, workshop string) ([]curriculum.Lathe, error)
	EndLathe(ctx context.Context, l curriculum.Lathe, e *curriculum.Ending, by string, now time.Time) error
	AddLatheCheck(ctx context.Context, c curriculum.LatheCheck, workshop string) error
	LatheChecks(ctx context.Context, lathe string) ([]curriculum.LatheCheck, error)

	CreateClass(ctx context.Context, c curriculum.Class, by string) error
	UpdateClass(ctx context.Context, c curriculum.Class, by string, now time.Time) error
	EndClass(ctx context.Context, c curriculum.Class, e *curriculum.Ending, by string, now time.Time) error
	SetJoiningCode(ctx context.Context, c curriculum.Class, by string, now time.Time) error
	Class(ctx context.Context, id string) (curriculum.Class, error)
	ClassByCode(ctx context.Context, code string) (curriculum.Class, error)
	Classes(ctx context.Context, workshop string) ([]curriculum.Class, error)
	AddLearners(ctx context.Context, c curriculum.Class, ls []curriculum.Learner, by string, now time.Time) ([]curriculum.Learner, error)
	LeaveClass(ctx context.Context, c curriculum.Class, learner, by string, now time.Time) error
	KnownLearners(ctx context.Context, workshop string) ([]curriculum.Known, error)
	Learners(ctx context.Context, class string) ([]curriculum.Learner, error)
	Learner(ctx context.Context, id string) (curriculum.Learner, error)
	UpdateLearner(ctx context.Context, c curriculum.Class, l curriculum.Learner, by string, now time.Time) error
	SetLearnerUnits(ctx context.Context, id string, u curriculum.Units) error
	LearnerRecord(ctx context.Context, learner string, now time.Time) (curriculum.LearnerRecord, error)
	EraseLearner(ctx context.Context, l curriculum.Learner, by string, now time.Time) (curriculum.Erasure, error)
	PINHash(ctx context.Context, learner string) (string, error)
	ChoosePIN(ctx context.Context, l curriculum.Learner, hash string, now time.Time) error
	ClearPIN(ctx context.Context, l curriculum.Learner, by string, now time.Time) error

	CreateSet(ctx context.Context, s curriculum.ClassSet, vs []curriculum.Variant, workshop, by string) error
	Set(ctx context.Context, id string) (curriculum.ClassSet, error)
	EndSet(ctx context.Context, s curriculum.ClassSet, e *curriculum.Ending, workshop, by string, now time.Time) error
	Sets(ctx context.Context, class string) ([]curriculum.ClassSet, error)
	Variants(ctx context.Context, set string) ([]curriculum.Variant, error)
	Variant(ctx context.Context, code string) (curriculum.Variant, error)
	VariantAt(ctx context.Context, code string, position int) (curriculum.Variant, curriculum.Exercise, error)
	VariantsOf(ctx context.Context, learner string) ([]curriculum.Variant, error)

	RecordAttempts(ctx context.Context, as []curriculum.Attempt, fold curriculum.FoldCells) ([]curriculum.Attempt, error)
	Attempts(ctx context.Context, variant string) ([]curriculum.Attempt, error)
	AttemptsAt(ctx context.Context, variant string, position int) ([]curriculum.Attempt, error)
	Marks(ctx context.Context, set string) ([]curriculum.Mark, error)
	Seats(ctx context.Context, set string, after, most int) ([]curriculum.Variant, error)
	MarksOfSeats(ctx context.Context, set string, after, through int) ([]curriculum.Mark, error)
	RecordHint(ctx context.Context, variant string, position int, part string, rung int, now time.Time) error
	Cells(ctx context.Context, learner string) ([]curriculum.Cell, error)
	Attempt(ctx context.Context, id string) (curriculum.Attempt, error)
	AddOverrule(ctx context.Context, o curriculum.Overrule, fold curriculum.FoldCells) ([]curriculum.Remark, error)
	Overrules(ctx context.Context, workshop string) ([]curriculum.Overrule, error)
	Answered(ctx context.Context, workshop, class string) ([]curriculum.Answered, error)
	SetCourse(ctx context.Context, c curriculum.Course, workshop, by string) error
	Course(ctx context.Context, class string) (curriculum.Course, error)
	ClassesOf(ctx context.Context, learner string) ([]curriculum.Class, error)
	ClassCells(ctx context.Context, class string) ([]curriculum.Cell, error)

	Events(ctx context.Context, ask curriculum.EventQuery) ([]curriculum.Event, error)
	AddPerson(ctx context.Context, p curriculum.Person, by string) error
	WorkshopLearners(ctx context.Context, workshop string) ([]curriculum.Learner, error)

	AppendLine(ctx context.Context, l curriculum.Line, ref string, seen int64) (curriculum.Line, error)
	OpenSitting(ctx context.Context, s curriculum.Sitting, l curriculum.Line, seen int64) (curriculum.Line, error)
	HandInSitting(ctx context.Context, s curriculum.Sitting, l curriculum.Line, seen int64) (curriculum.Line, error)
	Sitting(ctx context.Context, id string) (curriculum.Sitting, error)
	OpenSittings(ctx context.Context, learner string, now time.Time) ([]curriculum.Sitting, error)
	SettingsLine(ctx context.Context, workshop string) (curriculum.Line, error)
	LinesOf(ctx context.Context, workshop, learner string) ([]curriculum.Line, error)
	LinesAt(ctx context.Context, workshop, lathe string) ([]curriculum.Line, error)
	Chain(ctx context.Context, workshop string) ([]curriculum.Line, curriculum.ChainHead, error)
	EndOfChain(ctx context.Context, workshop string) (curriculum.ChainHead, error)
	KeepSignOffName(ctx context.Context, n curriculum.SignOffName) (curriculum.SignOffName, error)
	SignOffNames(ctx context.Context, workshop string) ([]curriculum.SignOffName, error)
	ForgetSignOffName(ctx context.Context, workshop, ref, by string, now time.Time) error
	SignOffCard(ctx context.Context, workshop, learner, code string, now time.Time) (string, error)
	SignOffCardLearner(ctx context.Context, workshop, code string) (string, error)

	SetJob(ctx context.Context, j curriculum.Job, workshop, by string) error
	RemoveJob(ctx context.Context, j curriculum.Job, workshop, by string, now time.Time) error
	Jobs(ctx context.Context, class string) ([]curriculum.Job, error)
	CreateShopSession(ctx context.Context, s curriculum.ShopSession, workshop, by string) error
	UpdateShopSession(ctx context.Context, s curriculum.ShopSession, workshop, by string) error
	EndShopSession(ctx context.Context, s curriculum.ShopSession, e *curriculum.Ending, workshop, by string, now time.Time) error
	ShopSession(ctx context.Context, id string) (curriculum.ShopSession, error)
	ShopSessions(ctx context.Context, class string) ([]curriculum.ShopSession, error)
	LogTime(ctx context.Context, t curriculum.LoggedTime, workshop string) error
	RemoveTime(ctx context.Context, workshop, id, by string, now time.Time) error
	LoggedTimes(ctx context.Context, workshop string) ([]curriculum.LoggedTime, error)

	CreateSession(ctx context.Context, hash string, s curriculum.Session, by string) error
	Session(ctx context.Context, hash string, now time.Time) (curriculum.Session, error)
	UseLink(ctx context.Context, link, hash string, now, expires time.Time) (curriculum.Session, error)
	EndSession(ctx context.Context, hash string, now time.Time) error

	SetPassphrase(ctx context.Context, p curriculum.Person, hash, keep string, now time.Time) error
	RehashPassphrase(ctx context.Context, person, old, hash string) error
	Passphrases(ctx context.Context, name string, most int) ([]curriculum.Passphrase, error)
	CreateToken(ctx context.Context, hash string, t curriculum.APIToken) error
	Token(ctx context.Context, hash string, now time.Time) (curriculum.APIToken, error)
	Tokens(ctx context.Context, workshop string) ([]curriculum.APIToken, error)
	TouchToken(ctx context.Context, id string, now time.Time) error
	RevokeToken(ctx context.Context, workshop, id, by string, now time.Time) error

	Once(ctx context.Context, r curriculum.KeyedRequest, act func(ctx context.Context) (curriculum.KeptAnswer, error)) (a curriculum.KeptAnswer, repeated bool, err error)
	ForgetKeys(ctx context.Context, since time.Time) error

	StartWork(ctx context.Context, w curriculum.Work) error
	Work(ctx context.Context, id string) (curriculum.Work, error)
	WorkOf(ctx context.Context, workshop, by string, most int) ([]curriculum.Work, error)
	ClaimWork(ctx context.Context, id, run string, now time.Time) (curriculum.Work, error)
	BeatWork(ctx context.Context, id, run string, done, total int, now time.Time) error
	LeaveWork(ctx context.Context, id, run string, counts bool) error
	FinishWork(ctx context.Context, end curriculum.WorkEnd) error
	FinishSet(ctx context.Context, end curriculum.WorkEnd, s curriculum.ClassSet, vs []curriculum.Variant, workshop, by string) error
	FinishLearners(ctx context.Context, end curriculum.WorkEnd, c curriculum.Class, ls []curriculum.Learner, by string) error
	CallOffWork(ctx context.Context, w curriculum.Work, by string, now time.Time) error
	WriteWorkFile(ctx context.Context, id, run string, number int, body []byte) error
	ReadWorkFile(ctx context.Context, id string, number int) ([]byte, error)
	CompareLearner(ctx context.Context, fold curriculum.FoldCells, learner string, write bool) (differences int, err error)
	Export(ctx context.Context, workshop string, w io.Writer, now time.Time) error

	Ping(ctx context.Context) error
}
