"""The trail: what was issued, to whom, and what was decided, in a chain of entries that anyone can check.

`canonical` and `entries` are the form, `chain` and `store` the file and how it is written, `people` the names that
can be erased, `sshsig` and `keys` the signatures, `token` outside time stamps, `check_*` the checks.
"""
