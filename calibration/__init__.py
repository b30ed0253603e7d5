"""Photo and references in; camera and wall plane with covariance out."""
