"""The page's server: routes, pictures, password and refusals, without any panel."""
