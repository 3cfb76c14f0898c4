package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/worksheets"
)

// PrintPacks lets the service print class packs as work.
func PrintPacks(p *practice.Service) {
	p.HandleWork(curriculum.WorkClassPack, func(ctx context.Context, r *practice.Running) error { return printPack(ctx, p, r) })
}

func printPack(ctx context.Context, p *practice.Service, r *practice.Running) error {
	set, text, err := practice.PackArgs(r)
	if err != nil {
		return err
	}
	query, err := url.ParseQuery(text)
	if err != nil {
		return fmt.Errorf("%w: how the pack is printed cannot be read", curriculum.ErrInvalid)
	}
	pack, err := Pack(ctx, p, r.Actor, set, query)
	if err != nil {
		return err
	}
	laid := 0
	pack.Tell = func() error {
		laid++
		r.Progress(laid, len(pack.Variants))
		return ctx.Err()
	}
	files, err := pack.Files()
	if err != nil {
		return err
	}
	result := curriculum.WorkResult{Set: set, Learners: len(pack.Variants)}
	return r.File(ctx, "pack.zip", "application/zip", result, func(to io.Writer) error { return worksheets.WriteZip(to, files) })
}

// SendFile sends the file of a work. What fails after the first byte cuts the
// connection: half a file must not look whole.
func SendFile(c *gin.Context, file curriculum.WorkFile, write func(io.Writer) error) error {
	c.Header("Content-Type", file.Media)
	c.Header("Content-Disposition", `attachment; filename="`+file.Name+`"`)
	c.Header("Content-Length", strconv.FormatInt(file.Bytes, 10))
	c.Status(http.StatusOK)
	if err := write(patient{c.Writer}); err != nil {
		panic(http.ErrAbortHandler)
	}
	return nil
}

// patient gives a slow client time for every piece, not for the whole file.
type patient struct{ http.ResponseWriter }

const pieceTime = time.Minute

func (p patient) Write(piece []byte) (int, error) {
	if err := http.NewResponseController(p.ResponseWriter).SetWriteDeadline(time.Now().Add(pieceTime)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return 0, err
	}
	return p.ResponseWriter.Write(piece)
}
