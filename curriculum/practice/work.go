package practice

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"sync/atomic"
	"time"

	"halfnut/curriculum"
)

const (
	// MostAtOnce is the most sheets that are made while somebody waits for the
	// answer; more of them are work.
	MostAtOnce = 36
	// mostNamesAtOnce is the same for names of a class list.
	mostNamesAtOnce = 200
	// mostTries is how often a work is begun before it counts as failed.
	mostTries = 5
	// mostWorkShown is how many works the list of one's own shows.
	mostWorkShown = 50
)

// WorkFunc does works of one kind. What it changes in the records it keeps
// through the store's Finish methods, so that it is there once however often the
// work is begun; other kinds end with [Running.Finish].
type WorkFunc func(ctx context.Context, r *Running) error

// Running is a work as the function that does it sees it.
type Running struct {
	Work curriculum.Work
	// Actor is who asked.
	Actor Actor

	s           *Service
	run         string
	done, total atomic.Int64
}

// Args reads what was asked.
func (r *Running) Args(into any) error { return json.Unmarshal([]byte(r.Work.Args), into) }

// Progress says how many of the steps are done.
func (r *Running) Progress(done, total int) {
	r.done.Store(int64(done))
	r.total.Store(int64(total))
}

// End is what ends the work with a result.
func (r *Running) End(result curriculum.WorkResult) curriculum.WorkEnd {
	return curriculum.WorkEnd{ID: r.Work.ID, Run: r.run, Result: result, Total: int(r.total.Load()), At: r.s.now()}
}

// Finish ends the work.
func (r *Running) Finish(ctx context.Context, result curriculum.WorkResult) error {
	return r.s.store.FinishWork(ctx, r.End(result))
}

const (
	filePiece = 1 << 20
	// mostFile bounds what lies in the database for a while.
	mostFile = 512 << 20
)

// File keeps what write writes as the work's file and ends the work.
func (r *Running) File(ctx context.Context, name, media string, result curriculum.WorkResult, write func(io.Writer) error) error {
	f := &fileWriter{ctx: ctx, r: r}
	if err := write(f); err != nil {
		return err
	}
	if err := f.keep(); err != nil {
		return err
	}
	result.File = &curriculum.WorkFile{Name: name, Media: media, Bytes: f.bytes, Until: r.s.now().Add(curriculum.KeepWorkFile)}
	return r.Finish(ctx, result)
}

// fileWriter keeps a file in pieces, so that none is in memory whole.
type fileWriter struct {
	ctx    context.Context
	r      *Running
	piece  []byte
	number int
	bytes  int64
}

func (f *fileWriter) Write(p []byte) (int, error) {
	if f.bytes += int64(len(p)); f.bytes > mostFile {
		return 0, fmt.Errorf("%w: the file would be larger than %d MiB; the command line makes it without a limit", curriculum.ErrInvalid, mostFile>>20)
	}
	f.piece = append(f.piece, p...)
	if len(f.piece) < filePiece {
		return len(p), nil
	}
	return len(p), f.keep()
}

func (f *fileWriter) keep() error {
	if len(f.piece) == 0 {
		return f.ctx.Err()
	}
	f.number++
	err := f.r.s.store.WriteWorkFile(f.ctx, f.r.Work.ID, f.r.run, f.number, f.piece)
	f.piece = f.piece[:0]
	return err
}

// HandleWork says what does works of a kind. It is called before any work is done.
func (s *Service) HandleWork(kind string, do WorkFunc) { s.kinds[kind] = do }

// ask puts a work into the queue.
func (s *Service) ask(ctx context.Context, a Actor, kind, title string, args any) (curriculum.Work, error) {
	body, err := json.Marshal(args)
	if err != nil {
		return curriculum.Work{}, err
	}
	w := curriculum.Work{
		ID: newID(), Workshop: a.Workshop, Kind: kind, Title: title, By: a.ID, Role: a.Role, Args: string(body),
		State: curriculum.WorkWaiting, Created: s.now().UTC().Truncate(time.Millisecond),
	}
	return w, s.store.StartWork(ctx, w)
}

// Work returns a work to whoever asked for it and to those of the workshop who
// may ask for the same.
func (s *Service) Work(ctx context.Context, a Actor, id string) (curriculum.Work, error) {
	w, err := s.store.Work(ctx, id)
	if err == nil && (w.Workshop != a.Workshop || w.By != a.ID && !mayAsk(a, w.Kind)) {
		err = curriculum.ErrNotFound
	}
	if err != nil {
		return curriculum.Work{}, err
	}
	return w, nil
}

// CallOffWork ends a work that waits or runs, for those who may see it. Nothing
// comes of it; a comparison that mends keeps what it has mended so far. A work that
// is called off already is given back as it is.
func (s *Service) CallOffWork(ctx context.Context, a Actor, id string) (curriculum.Work, error) {
	w, err := s.Work(ctx, a, id)
	if err != nil || w.State == curriculum.WorkCalledOff {
		return w, err
	}
	if err := s.store.CallOffWork(ctx, w, a.ID, s.now()); errors.Is(err, curriculum.ErrConflict) {
		return w, fmt.Errorf("%w: this work has ended already", curriculum.ErrConflict)
	} else if err != nil {
		return w, err
	}
	return s.store.Work(ctx, id)
}

func mayAsk(a Actor, kind string) bool {
	return a.Role == curriculum.RoleInstructor || a.Role == curriculum.RoleSteward && kind == curriculum.WorkRecompute
}

// OwnWork returns what the actor asked for lately, newest first.
func (s *Service) OwnWork(ctx context.Context, a Actor) ([]curriculum.Work, error) {
	if err := a.staff(); err != nil {
		return nil, err
	}
	return s.store.WorkOf(ctx, a.Workshop, a.ID, mostWorkShown)
}

// WorkFile returns what the file of a work is, and what writes it.
func (s *Service) WorkFile(ctx context.Context, a Actor, id string) (curriculum.WorkFile, func(io.Writer) error, error) {
	w, err := s.Work(ctx, a, id)
	if err != nil {
		return curriculum.WorkFile{}, nil, err
	}
	if w.Result == nil || w.Result.File == nil {
		return curriculum.WorkFile{}, nil, fmt.Errorf("%w: this work has no file", curriculum.ErrNotFound)
	}
	first, err := s.store.ReadWorkFile(ctx, id, 1)
	if isNotFound(err) {
		return curriculum.WorkFile{}, nil, fmt.Errorf("%w: the file is not kept any more; ask for it again", curriculum.ErrNotFound)
	}
	ctx = context.WithoutCancel(ctx) // a slow client may take longer than a request; one that went away ends it
	return *w.Result.File, func(to io.Writer) error {
		for piece, number := first, 1; ; number++ {
			if _, err := to.Write(piece); err != nil {
				return err
			}
			var err error
			if piece, err = s.store.ReadWorkFile(ctx, id, number+1); isNotFound(err) {
				return nil
			} else if err != nil {
				return err
			}
		}
	}, err
}

// DoWork does one work of the queue: it takes it, does it, and ends it or leaves
// it for another time. An error says that it must be tried again. What another
// try has already, or has ended, is no error.
func (s *Service) DoWork(ctx context.Context, id string) error {
	run := newID()
	w, err := s.store.ClaimWork(ctx, id, run, s.now())
	if errors.Is(err, curriculum.ErrTaken) || isNotFound(err) {
		return nil
	}
	if err != nil {
		return err
	}
	r := &Running{Work: w, Actor: Actor{ID: w.By, Workshop: w.Workshop, Role: w.Role}, s: s, run: run}
	if w.Tries > mostTries { // it took every copy down that tried it
		return s.failWork(ctx, r, fmt.Sprintf("it was begun %d times and never ended", mostTries))
	}
	return s.settle(ctx, r, s.perform(ctx, r))
}

// perform runs the kind's function and tells the store meanwhile that it is alive.
func (s *Service) perform(ctx context.Context, r *Running) (err error) {
	do, ok := s.kinds[r.Work.Kind]
	if !ok {
		return fmt.Errorf("nothing does works of the kind %q", r.Work.Kind)
	}
	ctx, stop := context.WithCancelCause(ctx)
	beaten := make(chan struct{})
	go func() {
		defer close(beaten)
		s.beat(ctx, stop, r)
	}()
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
		if taken := context.Cause(ctx); errors.Is(taken, curriculum.ErrTaken) {
			err = taken
		}
		stop(nil)
		<-beaten
	}()
	return do(ctx, r)
}

// beat ends the try when another has taken the work over, or it was called off. A database that does
// not answer for a while is waited for.
func (s *Service) beat(ctx context.Context, stop context.CancelCauseFunc, r *Running) {
	tick := time.NewTicker(s.beatEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		err := s.store.BeatWork(ctx, r.Work.ID, r.run, int(r.done.Load()), int(r.total.Load()), s.now())
		if errors.Is(err, curriculum.ErrTaken) && ctx.Err() == nil {
			stop(err)
			return
		}
	}
}

// settle decides what a try comes to.
func (s *Service) settle(ctx context.Context, r *Running, err error) error {
	switch {
	case err == nil, errors.Is(err, curriculum.ErrTaken):
		return nil
	case errors.Is(ctx.Err(), context.Canceled): // this copy stops; the try does not count
		return errors.Join(ctx.Err(), taken(s.store.LeaveWork(context.WithoutCancel(ctx), r.Work.ID, r.run, false)))
	}
	ctx = context.WithoutCancel(ctx) // its time may be over
	switch {
	case lasting(err):
		return s.failWork(ctx, r, err.Error())
	case r.Work.Tries >= mostTries:
		return errors.Join(err, s.failWork(ctx, r, fmt.Sprintf("something went wrong here; it was tried %d times", r.Work.Tries)))
	}
	return errors.Join(err, taken(s.store.LeaveWork(ctx, r.Work.ID, r.run, true)))
}

func (s *Service) failWork(ctx context.Context, r *Running, problem string) error {
	end := r.End(curriculum.WorkResult{})
	end.Problem = problem
	return taken(s.store.FinishWork(ctx, end))
}

// taken drops the error that says that the work is another try's.
func taken(err error) error {
	if errors.Is(err, curriculum.ErrTaken) {
		return nil
	}
	return err
}

// lasting says that an error would come again however often it is tried.
func lasting(err error) bool {
	for _, kind := range []error{curriculum.ErrInvalid, curriculum.ErrConflict, curriculum.ErrNotFound, curriculum.ErrDenied} {
		if errors.Is(err, kind) {
			return true
		}
	}
	return false
}
