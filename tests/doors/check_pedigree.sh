#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A pedigree out of one farm and into another on the command line; the two then tell the same, and so does the piece.
. tests/doors/steps.sh

rows='id,sire,dam,sex,born,breed,name'
good '' demo --to one.leenest
good "^$rows," --farm one.leenest herd --all --csv
cut -d, -f1-7 out >one.csv
good '^42 animals, 13 of them founders' reckon inbreeding one.csv
good '' --farm two.leenest record farm --name Two --lat 54 --lon -2 --zone Europe/London
good 'nothing was kept' --farm two.leenest import one.csv --pedigree --try
good '0 animals known' --farm two.leenest herd
(head -1 one.csv; tail -n +2 one.csv | sort -r) >shuffled.csv
good '42 new ones' --farm two.leenest import shuffled.csv --pedigree
good '' --farm two.leenest herd --all --csv
cut -d, -f1-7 out >two.csv
the_same one.csv two.csv
good '42 known already' --farm two.leenest import one.csv --pedigree
good '' --farm one.leenest kinship --boar Bracken --sow Motley --json
cp out first.json
good '' --farm two.leenest kinship --boar Bracken --sow Motley --json
grep '"f":' first.json >first.f
grep '"f":' out >second.f
the_same first.f second.f

printf 'id,sire,dam\nA,B,\nB,A,\n' >loop.csv
answer_no 'ancestor' --farm two.leenest import loop.csv --pedigree --try
bad 2 'nothing was kept' --farm two.leenest import loop.csv --pedigree
bad 2 'leave out --kind' --farm two.leenest import one.csv --pedigree --kind animal
bad 2 '' --farm two.leenest import nowhere.csv --pedigree

answer_no 'Rook would need 12 sows' --farm one.leenest pairings --boar Rook
good 'Campion to Thorn \(by hand\)' --farm one.leenest pairings --fix Campion=Thorn
good 'ONE BOAR FROM OUTSIDE' --farm one.leenest pairings --outside
good '^sow,uid,boar' --farm one.leenest pairings --csv
good 'Quince: lost' --farm one.leenest founders
steps_end
