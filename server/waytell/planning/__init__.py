"""From a drawing to operations, speeds and depths: pure, without I/O or clock."""
