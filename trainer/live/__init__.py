"""An attempt in progress: joins the ward clock to the engine and the record."""
