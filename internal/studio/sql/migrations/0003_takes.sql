-- Recordings of students. An item holds what was said of one; its sound lies beside the database, in the folder
-- recordings, under its SHA-256: sound is large, never changes, and is to be gone for good when it is cleared.
INSERT INTO kind (name) VALUES ('take');
