-- Version 2: the scale family and the planned item of an entry, for rotation and for answers to a plan.

ALTER TABLE entry ADD COLUMN family TEXT;
ALTER TABLE entry ADD COLUMN item TEXT NOT NULL DEFAULT '';
