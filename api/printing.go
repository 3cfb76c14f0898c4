package api

import (
	"bytes"
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/api/web"
	"halfnut/worksheets"
)

// classPack sends everything that is printed of a class set in one archive.
func (s *server) classPack(c *gin.Context) error {
	a, err := s.actor(c)
	if err != nil {
		return err
	}
	pack, err := web.Pack(c.Request.Context(), s.practice, a, c.Param("id"), c.Request.URL.Query())
	if err != nil {
		return err
	}
	files, err := pack.Files()
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := worksheets.WriteZip(&b, files); err != nil {
		return err
	}
	c.Header("Content-Disposition", `attachment; filename="pack.zip"`)
	c.Data(http.StatusOK, "application/zip", b.Bytes())
	return nil
}
