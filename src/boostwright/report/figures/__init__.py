"""Pictures of results. The plotting library is imported here alone, and only when a picture is asked for."""
