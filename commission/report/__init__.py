"""What goes on paper: documents made from a record, and their faces HTML, PDF, CSV and JSON.

`document` is what every sheet is made of, `sheets` makes them from a job, `render` gives the bytes.
Who has another document to print (an audit's, say) builds a `Document` and hands it to `render`.
"""
